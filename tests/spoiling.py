"""A copy of the shipped knowledge with one place spoilt, and what the review says of it."""

import re
import shutil
from pathlib import Path

from engine.knowledge import load
from engine.knowledge.review import review
from engine.physics import CALCULATIONS
from engine.visit.keeping import KNOWLEDGE_FOLDER


def copied(folder):
    """The shipped knowledge, copied below a folder of the test."""
    return Path(shutil.copytree(KNOWLEDGE_FOLDER, folder / "knowledge"))


def spoil(folder, file, entry, old, new):
    """Replace `old` by `new` (a pattern, once) inside one entry of one file."""
    path = folder / file
    head, mark, rest = path.read_text(encoding="utf-8").partition(f"\n  {entry}:\n")
    assert mark, f"{entry} is not in {file}"
    end = re.search(r"^(  \w+|\w+):$", rest, re.MULTILINE)
    body, tail = (rest[: end.start()], rest[end.start() :]) if end else (rest, "")
    spoilt, count = re.subn(old, new, body, count=1, flags=re.DOTALL)
    assert count, f"nothing in {entry} matches {old!r}"
    path.write_text(head + mark + spoilt + tail, encoding="utf-8")


def add(folder, file, text):
    """Write a further file of knowledge."""
    (folder / file).write_text(text, encoding="utf-8")


def problems(folder):
    return review(load(folder, CALCULATIONS)).problems


def remarks(folder):
    return review(load(folder, CALCULATIONS)).remarks


def says(found, *words):
    """Whether one of the problems speaks of all the words."""
    return any(all(word in str(problem) for word in words) for problem in found)

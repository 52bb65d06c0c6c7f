"""README and DEVELOPERS say what is so: their commands, their output, their messages."""

import re
from pathlib import Path

import pytest

from engine.__main__ import main
from engine.errors import Unusable
from engine.knowledge import load, schema
from engine.physics import CALCULATIONS
from engine.visit.keeping import KNOWLEDGE_FOLDER
from tests import worked_visit

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()


def blocks(text: str, after: str, language: str = "text") -> list[str]:
    """The code blocks of a language that follow a marker, up to the next heading."""
    part = text.split(after, 1)[1].split("\n## ", 1)[0]
    return re.findall(rf"```{language}\n(.*?)\n```", part, flags=re.DOTALL)


def test_readme_gives_one_command_to_start_and_one_to_test():
    commands = re.findall(r"^python3 -m venv .*$", README, flags=re.MULTILINE)

    assert len(commands) == 2
    assert commands[0].endswith("streamlit run app.py")
    assert commands[1].endswith("-m pytest")


def test_the_worked_visit_is_what_the_program_prints():
    printed = "\n".join(line.rstrip() for line in worked_visit.visit().splitlines())
    shown = blocks(README, "## One visit")

    assert len(shown) >= 3
    for block in shown:
        assert block in printed


def test_the_readings_shown_are_what_the_program_prints(capsys):
    (block,) = blocks(README, "## Readings without a visit")
    command, shown = block.split("\n", 1)

    assert main(command.removeprefix("$ python -m engine ").split()) == 0
    assert capsys.readouterr().out.strip() == shown


@pytest.mark.parametrize("kind", ["symptoms", "causes", "checks", "actions", "contexts"])
def test_readme_counts_what_the_knowledge_holds(knowledge, kind):
    assert f"{len(getattr(knowledge, kind))} {_PEOPLE_SAY[kind]}" in README


_PEOPLE_SAY = {
    "symptoms": "complaints",
    "causes": "causes",
    "checks": "checks",
    "actions": "actions",
    "contexts": "circumstances",
}


def test_the_messages_shown_to_authors_are_the_real_ones(tmp_path):
    """The entry in DEVELOPERS with its slips, loaded beside the shipped knowledge."""
    slipped, messages = blocks(DEVELOPERS, "<!-- an entry with slips -->", "[a-z]+")
    folder = tmp_path / "knowledge"
    folder.mkdir()
    for file in KNOWLEDGE_FOLDER.glob("*.yaml"):
        (folder / file.name).write_bytes(file.read_bytes())
    (folder / "slips.yaml").write_text(slipped + "\n")

    with pytest.raises(Unusable) as caught:
        load(folder, CALCULATIONS)

    assert str(caught.value) == messages


def test_developers_shows_an_entry_that_loads(tmp_path):
    good = blocks(DEVELOPERS, "## How to add a cause", "yaml")[0]
    folder = tmp_path / "knowledge"
    folder.mkdir()
    for file in KNOWLEDGE_FOLDER.glob("*.yaml"):
        (folder / file.name).write_bytes(file.read_bytes())
    (folder / "new.yaml").write_text(good + "\n")

    assert load(folder, CALCULATIONS).causes["fan_coupling_slips"]


def test_every_part_of_the_engine_is_named_for_developers():
    unnamed = {"screens", "migrations"}  # pages, and steps that are named by their number
    modules = [p for p in (ROOT / "engine").rglob("*.py") if not unnamed & set(p.parts)]
    parts = {p.parent.name if p.stem == "__init__" else p.stem for p in modules}
    named = set(re.findall(r"\w+", DEVELOPERS))

    assert parts <= named


def test_every_kind_of_knowledge_is_named_for_developers():
    assert not {kind for kind in schema.KINDS if f"`{kind}`" not in DEVELOPERS}

"""What is asked for in a terminal: facts as text, files by their path."""

from collections.abc import Iterable
from pathlib import Path

from engine.errors import Problem, UnreadableValue, Unusable


def facts_of(pairs: Iterable[str]) -> dict[str, str]:
    """Facts given as NAME=VALUE.

    Raises
    ------
    UnreadableValue
        If a pair has no value, or a fact comes twice.

    Examples
    --------
    >>> facts_of(["fuel=propane", "altitude = 300 m"])
    {'fuel': 'propane', 'altitude': '300 m'}
    """
    facts: dict[str, str] = {}
    for pair in pairs:
        name, _, value = (part.strip() for part in pair.partition("="))
        if not value:
            raise UnreadableValue(f"{pair!r} has no value; write it as {name}=VALUE")
        if name in facts:
            raise UnreadableValue(f"fact {name!r} is given twice; leave one out")
        facts[name] = value
    return facts


def write(path: Path, content: bytes) -> None:
    """Write a file.

    Raises
    ------
    Unusable
        If it cannot be written there.
    """
    try:
        path.write_bytes(content)
    except OSError as error:
        what = f"the file cannot be written: {error.strerror}"
        raise Unusable([Problem(str(path), 1, what, "name a file in another folder")]) from None

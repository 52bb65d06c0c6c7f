"""Everything the engine refuses, as sentences for the person who can mend it.

SightportError
├── OutOfRange          a calculation was given a value outside its valid range
├── UnreadableValue     a typed value could not be read as the quantity asked for
├── Implausible         a value can be read, but an instrument hardly ever shows it
├── NotAllowed          the step is not for this person, or not in this state of the visit
├── Overtaken           somebody else entered something since it was looked at
├── UnknownVisit        no visit of that number is stored
└── Unusable            a file of knowledge or a case has problems; it lists all of them
"""

import difflib
from collections.abc import Iterable
from typing import NamedTuple


class SightportError(Exception):
    """Base of all errors that the engine raises on purpose."""


class OutOfRange(SightportError):
    """A calculation was given a value outside the range in which it holds."""


class UnreadableValue(SightportError):
    """A typed value could not be read as the quantity that was asked for."""


class Implausible(SightportError):
    """A value was read, but deserves a question before it is believed."""


class NotAllowed(SightportError):
    """The step is not for this person, or not possible in this state of the visit."""


class Overtaken(SightportError):
    """Something was entered elsewhere since the person looked, who answered without knowing it."""


class UnknownVisit(SightportError):
    """No visit of that number is stored."""


class Problem(NamedTuple):
    """One thing wrong in a file, with the way to mend it."""

    file: str
    line: int  # 1-based, as editors count
    what: str
    mend: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.what}\n    mend: {self.mend}"


class Unusable(SightportError):
    """A file, or a folder of files, cannot be used; `problems` lists every reason."""

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(problem) for problem in self.problems))


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word closest in spelling, or None when nothing is close.

    Examples
    --------
    >>> nearest("fan_stall", ["fan_stalled", "trap_dry"])
    'fan_stalled'
    """
    close = difflib.get_close_matches(word, list(known), n=1)
    return close[0] if close else None

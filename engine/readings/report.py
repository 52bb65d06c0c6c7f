"""What a sheet of readings says: figures, verdicts, words, what to measure next."""

from dataclasses import dataclass

from engine.belief.readings import Banded, Calculated
from engine.readings.pictures import Picture


@dataclass(frozen=True)
class Figure:
    """A computed figure with its spread; `basis` says where the calculation comes from."""

    calculated: Calculated
    shown: str  # value ± spread with unit
    needs: str = ""  # the band of a sound boiler, with its mark where it is only typical
    band_source: str = ""
    accuracy: str = ""  # of the instruments behind it, and who says so
    note: str = ""  # a limit of the calculation that matters here


@dataclass(frozen=True)
class Verdict:
    """What a reading means by the bands of one check of the knowledge."""

    check: str
    name: str
    figure: Figure
    outcome: str
    says: str
    means: str
    sound: bool
    doubt: str  # which bands the instrument cannot tell apart; empty when sure
    banded: Banded


@dataclass(frozen=True)
class Danger:
    """A reading at which everything stops."""

    check: str
    outcome: str
    headline: str
    advice: tuple[str, ...]
    do_not: tuple[str, ...]
    who_acts: str


@dataclass(frozen=True)
class Next:
    """A check worth making next, and why."""

    check: str
    name: str
    why: str


@dataclass(frozen=True)
class Report:
    """Everything that follows from what was entered.

    `says` are at most a few sentences, the most important first; `unread` are entries that could
    not be read, by name; `refused` are figures that could not be computed, with the reason;
    `questions` are those that odd values deserve; `taken` is what was assumed, not measured.
    """

    verdicts: tuple[Verdict, ...] = ()
    figures: tuple[Figure, ...] = ()
    says: tuple[str, ...] = ()
    next: tuple[Next, ...] = ()
    danger: Danger | None = None
    pictures: tuple[Picture, ...] = ()
    unread: tuple[tuple[str, str], ...] = ()
    refused: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether nothing follows from what was entered."""
        return not (self.verdicts or self.figures or self.refused)

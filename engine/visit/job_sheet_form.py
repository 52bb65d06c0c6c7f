"""The form of a job sheet: titled sections of plain words, for paper, mail and terminal alike."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime


@dataclass(frozen=True)
class Letterhead:
    """Who worked: texts as they are to be printed, empty where they are not known."""

    company: str = ""
    address: str = ""
    phone: str = ""
    licence: str = ""


@dataclass(frozen=True)
class Site:
    """Where the boiler stands, and what it is: texts, empty where they are not known."""

    customer: str = ""
    address: str = ""
    phone: str = ""
    boiler: str = ""


@dataclass(frozen=True)
class Row:
    """A line of a section, with its cells side by side.

    `box` is True for a ticked box before it, False for an empty one, None for none at all.
    """

    cells: tuple[str, ...]
    box: bool | None = None


@dataclass(frozen=True)
class Section:
    """Rows under a title; never without a row.

    `head` names the columns, `shares` says how much of the width each takes. Rows without columns
    may be `flowing`: set one after the other.
    """

    title: str
    rows: tuple[Row, ...]
    head: tuple[str, ...] = ()
    shares: tuple[int, ...] = (1,)
    flowing: bool = False


@dataclass(frozen=True)
class JobSheet:
    """A visit on paper. `alarms` are danger signs, and stand before everything else.

    `begun` and `last` are times in UTC, None where they are not known; `made_by` says what printed
    it, and `foot` what stands above all of it.
    """

    letterhead: Letterhead
    visit: int
    begun: datetime | None
    last: datetime | None
    ending: str
    alarms: tuple[Section, ...]
    sections: tuple[Section, ...]
    signatures: tuple[str, ...]
    foot: str
    made_by: str

    def when(self) -> str:
        """The time of the visit at the place of this computer; empty where it is not known.

        Examples
        --------
        >>> sheet = JobSheet(Letterhead(), 1, None, None, "", (), (), (), "", "")
        >>> sheet.when()
        ''
        """
        if not self.begun or not self.last:
            return ""
        begun, last = (_here(moment) for moment in (self.begun, self.last))
        same_day = begun.date() == last.date()
        until = f"{last:%H:%M}" if same_day else f"{last:%Y-%m-%d %H:%M}"
        return f"{begun:%Y-%m-%d %H:%M} to {until} (UTC{last.isoformat()[-6:]})"


def _here(moment: datetime) -> datetime:
    return moment.replace(tzinfo=UTC).astimezone()


def lines(texts: Iterable[str]) -> tuple[Row, ...]:
    """A row for each text that says something."""
    return tuple(Row((text.strip(),)) for text in texts if text.strip())

"""Calls at the phone desk: visits that somebody began on the phone, with whose they are."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.knowledge.facts import fact_from_text
from engine.records import Store, StoredVisit
from engine.records.cards import add_customer, boiler, customer
from engine.records.store import now
from engine.visit import events as happened
from engine.visit import load_list, phone
from engine.visit.job_sheet_kept import kept_job_sheet
from engine.visit.job_sheet_text import as_text
from engine.visit.keeping import Visit, read, record
from engine.visit.starting import start
from engine.visit.state import live
from engine.visit.told import told

OPEN, BOOKED = "Open", "Visit booked"
NOBODY = "No name yet"

FIRST = "Before anything else, please answer these with yes or no."
COMPLAINT = "What is wrong with the heating? Tell me in your own words."
MENDED = (
    "Good, then it is mended. Please ring again at once if it comes back or smells of anything."
)


@dataclass(frozen=True)
class Caller:
    """Who calls, as far as it is known; a card of theirs and one of their boilers, if any."""

    name: str = ""
    phone: str = ""
    address: str = ""
    customer: int | None = None
    boiler: int | None = None

    def line(self) -> str:
        """Name, number and address on one line; a card may name the number as its name."""
        return ", ".join(dict.fromkeys(filter(None, (self.name, self.phone, self.address))))


@dataclass(frozen=True)
class Standing:
    """How a call stands, what it waits for, and whether a danger sign stands in it."""

    stands: str
    waits: str
    danger: bool = False


@dataclass(frozen=True)
class Call:
    """A call in the list. `minutes` since its last entry."""

    id: int
    caller: Caller
    standing: Standing
    minutes: float
    title: str

    @property
    def name(self) -> str:
        return self.caller.name or self.title or NOBODY


def take_call(store: Store, known: Knowledge, caller: Caller, symptoms: Iterable[str]) -> int:
    """A new call; its visit's number. A caller without a card gets one, if anything is known.

    What stands on the sheet of the boiler is taken over; what cannot be read any more is not.

    Raises
    ------
    UnreadableValue, NotAllowed
        If a complaint cannot be taken; nothing is stored.
    """
    sheet = boiler(store, caller.boiler).sheet if caller.boiler is not None else {}
    facts = {name: text for name, text in sheet.items() if _readable(known, name, text)}
    visit = start(store, known, "caller", caller.line(), symptoms, facts)
    card = caller.customer
    if card is None and caller.line():
        name = caller.name or caller.phone or caller.address
        card = add_customer(store, name, caller.address, caller.phone)
    store.place(visit, caller.boiler, card)
    return visit


def _readable(known, name, text) -> bool:
    try:
        fact_from_text(known, name, text)
    except SightportError:
        return False
    return bool(text.strip())


def caller_of(store: Store, stored: StoredVisit) -> Caller:
    """Whose call it is, by the card it was placed with."""
    if stored.customer is None:
        return Caller()
    try:
        card = customer(store, stored.customer)
    except SightportError:  # the card is gone; the call is not
        return Caller()
    return Caller(card.name, card.phone, card.address, card.id, stored.boiler)


def standing(store: Store, known: Knowledge, visit: int) -> Standing:
    """How one call stands."""
    try:
        return standing_of(known, read(store, known, visit))
    except SightportError as error:
        return Standing("Cannot be read", str(error))


def standing_of(known: Knowledge, visit: Visit) -> Standing:
    """How a call that is already read stands."""
    if visit.state.end:
        return Standing(happened.ENDS[visit.state.end], "")
    if visit.state.who != "caller":
        return Standing(BOOKED, "")
    return Standing(OPEN, phone.waits(known, visit), visit.state.danger is not None)


def calls(
    store: Store,
    stands: Callable[[StoredVisit], Standing],
    words: str = "",
    at: datetime | None = None,
) -> tuple[Call, ...]:
    """The calls with all these words in name, address, number or visit number, those in
    danger first, then the latest.

    Parameters
    ----------
    stands : callable
        How a stored visit stands; given from outside, where it is kept from one look to the next.
    at : datetime, optional
        The time in UTC; now unless given.
    """
    found, at = [], at or now()
    for stored in store.visits_begun_with("who", "caller"):
        caller = caller_of(store, stored)
        text = f"#{stored.id} {stored.title} {caller.line()}".casefold()
        if all(word in text for word in words.casefold().split()):
            minutes = max(0.0, (at - stored.last).total_seconds() / 60)
            found.append(Call(stored.id, caller, stands(stored), minutes, stored.title))
    return tuple(sorted(found, key=lambda call: not call.standing.danger))


def since(minutes: float) -> str:
    """Time since the last entry in words.

    Examples
    --------
    >>> since(0.4), since(1.2), since(42), since(180), since(3000)
    ('just now', '1 min ago', '42 min ago', '3 h ago', '2 days ago')
    """
    if minutes < 1:
        return "just now"
    if minutes < 90:
        return f"{int(minutes)} min ago"
    return (
        f"{round(minutes / 60)} h ago" if minutes < 48 * 60 else f"{int(minutes // 1440)} days ago"
    )


def answered(
    store: Store, known: Knowledge, visit: Visit, check: str, outcome: str, said: str
) -> None:
    """Enter an answer; the words in which it was given are kept before it."""
    found = happened.Found(check=check, outcome=outcome)
    if said.strip():
        asks = known.checks[check].name
        record(store, known, visit.id, happened.Noted(text=f'Caller, {asks}: "{said.strip()}"'))
    record(store, known, visit.id, found)


def booking_words(known: Knowledge, visit: Visit, parts: Iterable[str] | None, words: str) -> str:
    """What goes with a booked visit: the load with its chance, and the desk's own words."""
    loading = load_list.loading(known, visit)
    lines = [words.strip()] if words.strip() else []
    if loading is not None:
        load = loading.propose().load if parts is None else load_list.chosen(loading, parts)
        lines += load_list.in_words(loading.judged(load))[:2]
    return " ".join(lines)[:2000]


def book(
    store: Store, known: Knowledge, visit: Visit, parts: Iterable[str] | None, words: str
) -> None:
    """Hand the call over to a technician on site, with what to load in words."""
    event = happened.HandedOver(who="technician", words=booking_words(known, visit, parts, words))
    record(store, known, visit.id, event)


def hand_over_text(store: Store, known: Knowledge, visit: Visit, caller: Caller) -> str:
    """The hand-over as plain text: whose boiler, what to load, who said what, and the rest."""
    booked = [
        event.words for _, event in live(visit.history) if isinstance(event, happened.HandedOver)
    ]
    said = [
        f"{'Caller' if entry.by_caller else 'Desk'}: {entry.kind}. {entry.text}"
        for entry in reversed(told(known, visit))
        if entry.kind != "Handed over"
    ]
    blocks = [
        ("Hand-over", [f"Visit {visit.id}", caller.line() or NOBODY]),
        ("Booked", booked[-1:]),
        ("Counted on", load_list.ASSUMES if booked else ()),
        ("Who said what", said),
    ]
    texts = [
        "\n".join((title, *(f"  - {line}" for line in lines))) for title, lines in blocks if lines
    ]
    return "\n\n".join((*texts, as_text(kept_job_sheet(store, known, visit))))

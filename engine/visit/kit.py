"""A person's own instruments, kept from visit to visit."""

from dataclasses import dataclass

from engine import units
from engine.errors import UnreadableValue
from engine.knowledge import Knowledge
from engine.knowledge.instruments import Stated, own_accuracy
from engine.readings.accuracy_words import accuracy_words
from engine.records import Store
from engine.units.typed_values import unit_of, usual_spelling, with_unit
from engine.visit import events as happened

LONGEST = 40
"""Characters that an accuracy may have: its unit comes to it, and both must fit an event."""


@dataclass(frozen=True)
class Tool:
    """A class of instruments as it is shown, with the accuracy of one's own as typed."""

    id: str
    name: str
    typical: str
    source: str
    note: str
    unit: str  # of the least figure
    stated: str = ""  # one's own in words
    of_reading: str = ""
    at_least: str = ""

    @property
    def own(self) -> bool:
        """Whether the accuracy of one's own is kept."""
        return bool(self.stated)


def read(store: Store, known: Knowledge) -> dict[str, Stated]:
    """The kit: accuracies of one's own by instrument, as far as this knowledge can use them."""
    kept = {}
    for name, (of_reading, at_least) in store.kit().items():
        try:
            own = own_accuracy(known, name, of_reading, at_least)
        except UnreadableValue:  # kept for other knowledge than this
            continue
        if own:
            kept[name] = own
    return kept


def as_events(store: Store, known: Knowledge) -> tuple[happened.InstrumentStated, ...]:
    """The kit as a visit begins with it."""
    return tuple(
        happened.InstrumentStated(
            instrument=name, of_reading=own.of_reading or "", at_least=own.at_least or ""
        )
        for name, own in read(store, known).items()
    )


def remember(
    store: Store, known: Knowledge, instrument: str, of_reading: str = "", at_least: str = ""
) -> None:
    """Keep the accuracy of one's own instrument for visits to come; both empty: keep none.

    A bare number takes the unit in which the class is given.

    Raises
    ------
    UnreadableValue
        If there is no such instrument, or none can be that accurate; nothing is kept.
    """
    own = own_accuracy(known, instrument, *typed(known, instrument, of_reading, at_least))
    if own:
        store.put_in_kit(instrument, own.of_reading or "", own.at_least or "")
    else:
        store.take_from_kit(instrument)


def typed(known: Knowledge, instrument: str, of_reading: str, at_least: str) -> tuple[str, str]:
    """An accuracy as typed into fields that name their unit, with that unit."""
    unit = unit_for(known, instrument) if instrument in known.instruments else ""
    return with_unit(of_reading, "%"), with_unit(at_least, unit) if unit else at_least


def unit_for(known: Knowledge, instrument: str) -> str:
    """The unit in which the least figure of an instrument is asked for."""
    entry = known.instruments[instrument]
    usual = units.QUANTITIES[units.difference_of(entry.quantity)].usual_units[0]
    own = unit_of(entry.accuracy.at_least or "")
    return usual_spelling(entry.quantity, own) if own else usual


def tools(store: Store, known: Knowledge) -> tuple[Tool, ...]:
    """Every class of instruments, with one's own as kept for visits to come."""
    stated = read(store, known)
    return tuple(tool(known, name, stated.get(name)) for name in known.instruments)


def tool(known: Knowledge, name: str, own: Stated | None) -> Tool:
    """One class of instruments, with one's own accuracy where it is stated."""
    entry = known.instruments[name]
    return Tool(
        id=name,
        name=entry.name,
        typical=accuracy_words(entry.accuracy),
        source="; ".join(known.sources[source].name for source in entry.source),
        note=entry.note or "",
        unit=unit_for(known, name),
        stated=accuracy_words(own) if own else "",
        of_reading=(own and own.of_reading) or "",
        at_least=(own and own.at_least) or "",
    )

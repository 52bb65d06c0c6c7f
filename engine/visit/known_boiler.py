"""A visit to a boiler of the records: its sheet fills the facts, and what was found goes back."""

from collections.abc import Mapping
from dataclasses import dataclass

from engine.errors import SightportError, UnreadableValue
from engine.knowledge import Knowledge
from engine.knowledge.facts import fact_from_text
from engine.records import Store, cards
from engine.visit.keeping import Visit
from engine.visit.starting import start


@dataclass(frozen=True)
class Card:
    """A boiler as chosen from a list: `line` names it, `facts` are those of its sheet as typed;
    `unread` names what of its sheet this knowledge cannot take."""

    id: int
    line: str
    facts: Mapping[str, str]
    unread: tuple[str, ...] = ()


@dataclass(frozen=True)
class Change:
    """A fact that the visit states otherwise than the boiler's sheet, both in words."""

    fact: str
    name: str
    on_sheet: str
    now: str


def find(store: Store, known: Knowledge, words: str = "", most: int = 5) -> tuple[Card, ...]:
    """Boilers by words of their name, place or customer, the latest added first."""
    return tuple(_card(store, known, boiler) for boiler in cards.find_boilers(store, words, most))


def card(store: Store, known: Knowledge, boiler: int) -> Card:
    """One boiler.

    Raises
    ------
    SightportError
        If it is not in the records (any more).
    """
    return _card(store, known, cards.boiler(store, boiler))


def start_at(
    store: Store,
    known: Knowledge,
    boiler: int | None = None,
    name: str = "",
    place: str = "",
    **said,
) -> int:
    """A new visit to a boiler of the records, or to one kept there now under a name; its id.

    Parameters
    ----------
    boiler : int, optional
        Of the records. Otherwise `name` and `place`, where it is to be kept.
    said
        As `engine.visit.starting.start` takes it.

    Raises
    ------
    SightportError
        If the boiler is not in the records, or something said cannot be taken; nothing is stored.
    """
    there = cards.boiler(store, boiler) if boiler is not None else None
    visit = start(store, known, **said)
    if there:
        store.place(visit, there.id, there.customer)
    elif name.strip():
        _keep(store, visit, name, place, said.get("facts") or {})
    return visit


def keep_as_new(store: Store, visit: Visit, name: str, place: str = "") -> int:
    """Put the boiler of a visit into the records, with what the visit knows of it; its id.

    Raises
    ------
    UnreadableValue
        If it has no name.
    """
    if not name.strip():
        raise UnreadableValue("the boiler has no name; write one to find it by")
    return _keep(store, visit.id, name, place, visit.state.typed_facts)


def whose(store: Store, known: Knowledge, visit: Visit) -> Card | None:
    """The boiler to which a visit is; None where it is to none of the records."""
    number = store.visit(visit.id).boiler
    return None if number is None else card(store, known, number)


def changed(store: Store, known: Knowledge, visit: Visit) -> tuple[Change, ...]:
    """What the visit states otherwise than the sheet of its boiler."""
    there = whose(store, known, visit)
    if there is None:
        return ()
    return tuple(
        Change(
            name,
            known.facts[name].name,
            _in_words(known, name, there.facts.get(name, "")) or "nothing",
            _in_words(known, name, text),
        )
        for name, text in visit.state.typed_facts.items()
        if _value(known, name, text) != _value(known, name, there.facts.get(name, ""))
    )


def keep_changes(store: Store, known: Knowledge, visit: Visit) -> None:
    """Put what the visit states of the boiler on its sheet; what it does not speak of stays."""
    there = whose(store, known, visit)
    if there is None:
        return
    sheet = dict(cards.boiler(store, there.id).sheet)
    typed = visit.state.typed_facts
    sheet |= {change.fact: typed[change.fact] for change in changed(store, known, visit)}
    cards.change_boiler(store, there.id, sheet=sheet)


def _keep(store, visit, name, place, facts) -> int:
    sheet = {fact: text.strip() for fact, text in facts.items() if text.strip()}
    number = cards.add_boiler(store, name, place, sheet)
    store.place(visit, number)
    return number


def _card(store, known, boiler) -> Card:
    whose = cards.customer(store, boiler.customer).name if boiler.customer else ""
    facts, unread = {}, []
    for name, text in boiler.sheet.items():
        if _value(known, name, text) is None:
            unread.append(known.facts[name].name if name in known.facts else name)
        else:
            facts[name] = text
    line = ", ".join(filter(None, (boiler.name, boiler.place, whose)))
    return Card(boiler.id, line, facts, tuple(unread))


def _value(known, name, text):
    """What a fact's text says, as choice or SI value; None where it says nothing readable."""
    if name not in known.facts or not isinstance(text, str) or not text.strip():
        return None
    try:
        return fact_from_text(known, name, text)
    except SightportError:
        return None


def _in_words(known, name, text) -> str:
    return (known.facts[name].choices or {}).get(text, text)

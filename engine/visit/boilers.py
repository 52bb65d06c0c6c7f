"""The cards of boilers and their customers, written by people."""

from collections.abc import Mapping

from engine.errors import UnreadableValue
from engine.knowledge import Knowledge
from engine.knowledge.facts import fact_from_text
from engine.records import Store, cards


def write_card(store: Store, name: str, place: str = "", customer: int | None = None) -> int:
    """A new boiler; its id.

    Raises
    ------
    UnreadableValue
        If it has no name.
    """
    return cards.add_boiler(store, _named(name), place, customer=customer)


def keep_on_sheet(store: Store, known: Knowledge, boiler: int, fact: str, typed: str) -> None:
    """A figure of the boiler's sheet as typed; an empty one takes it off.

    Raises
    ------
    UnreadableValue
        If there is no such fact, or its value cannot be read.
    """
    sheet = {**cards.boiler(store, boiler).sheet}
    sheet.pop(fact, None)
    if typed.strip():
        fact_from_text(known, fact, typed)
        sheet[fact] = typed.strip()
    cards.change_boiler(store, boiler, sheet=sheet)


def keep_card(store: Store, boiler: int, name: str, place: str, owner: Mapping[str, str]) -> None:
    """Name and place of a boiler, and its customer's name, address, phone and mail.

    Raises
    ------
    UnreadableValue
        If the boiler has no name, or its customer has an address and no name.
    """
    name, number = _named(name), cards.boiler(store, boiler).customer
    if any(value.strip() for value in owner.values()):
        if not owner["name"].strip():
            raise UnreadableValue(
                "the customer has no name; write it, or empty the customer's other fields"
            )
        if number is None:
            number = cards.add_customer(store, **owner)
        else:
            cards.change_customer(store, number, **owner)
    cards.change_boiler(store, boiler, name=name, place=place, customer=number)


def _named(name: str) -> str:
    if not name.strip():
        raise UnreadableValue("the boiler has no name; write one to find it by")
    return name

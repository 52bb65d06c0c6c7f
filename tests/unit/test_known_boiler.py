"""A visit to a boiler of the records: its facts, its place, and what goes back on its sheet."""

import pytest

from engine.errors import SightportError, UnreadableValue
from engine.records import cards
from engine.visit import events as happened
from engine.visit import keeping, known_boiler

SAID = {"who": "technician", "symptoms": ["locks_out_no_flame"]}


@pytest.fixture
def boiler(store):
    ann = cards.add_customer(store, "Ann Example", "Mill Lane 4")
    sheet = {"fuel": "propane", "rated_input": "32 kW"}
    return cards.add_boiler(store, "Cellar boiler", "cellar", sheet, customer=ann)


@pytest.mark.parametrize("words", ["cellar", "ann", "mill lane", ""])
def test_a_boiler_is_found_by_name_place_and_customer(store, knowledge, boiler, words):
    (card,) = known_boiler.find(store, knowledge, words)

    assert card.line == "Cellar boiler, cellar, Ann Example"
    assert card.facts == {"fuel": "propane", "rated_input": "32 kW"}


def test_words_that_no_boiler_has_find_none(store, knowledge, boiler):
    assert known_boiler.find(store, knowledge, "attic") == ()


def test_the_visit_is_placed_there(store, knowledge, boiler):
    visit = known_boiler.start_at(store, knowledge, boiler, **SAID)

    placed = store.visit(visit)
    assert (placed.boiler, placed.customer) == (boiler, cards.boiler(store, boiler).customer)


def test_what_a_sheet_holds_that_cannot_be_read_is_named_and_left_out(store, knowledge):
    sheet = {"fuel": "peat", "colour": "grey", "rated_input": "lots", "altitude": "300 m"}
    number = cards.add_boiler(store, "Odd one", sheet=sheet)

    card = known_boiler.card(store, knowledge, number)

    assert card.facts == {"altitude": "300 m"}
    names = knowledge.facts
    assert set(card.unread) == {names["fuel"].name, "colour", names["rated_input"].name}


def test_a_boiler_that_is_gone_begins_no_visit(store, knowledge):
    with pytest.raises(SightportError, match="no boiler number 9"):
        known_boiler.start_at(store, knowledge, 9, **SAID)

    assert keeping.listed(store) == ()


def test_facts_that_cannot_be_read_keep_no_boiler(store, knowledge):
    with pytest.raises(SightportError, match="outside"):
        known_boiler.start_at(store, knowledge, name="New", facts={"altitude": "30 km"}, **SAID)

    assert (keeping.listed(store), cards.find_boilers(store)) == ((), ())


def test_a_new_boiler_is_kept_with_what_was_said_of_it(store, knowledge):
    facts = {"fuel": "propane", "altitude": "", "rated_input": " 30 kW "}
    visit = known_boiler.start_at(store, knowledge, name="New", place="attic", facts=facts, **SAID)

    (kept,) = cards.find_boilers(store)
    assert (kept.name, kept.place) == ("New", "attic")
    assert kept.sheet == {"fuel": "propane", "rated_input": "30 kW"}
    assert store.visit(visit).boiler == kept.id


def test_without_a_name_no_boiler_is_kept(store, knowledge):
    visit = known_boiler.start_at(store, knowledge, name="  ", **SAID)

    assert store.visit(visit).boiler is None
    assert cards.find_boilers(store) == ()
    with pytest.raises(UnreadableValue, match="no name"):
        known_boiler.keep_as_new(store, keeping.read(store, knowledge, visit), " ")


def test_what_changed_is_told_and_kept_on_the_sheet(store, knowledge, boiler):
    """32 kW and 32000 W are one input; a sheet keeps what the visit does not speak of."""
    facts = {"fuel": "natural_gas", "rated_input": "32000 W"}
    visit = known_boiler.start_at(store, knowledge, boiler, facts=facts, **SAID)
    keeping.record(store, knowledge, visit, happened.FactStated(fact="altitude", value="300 m"))
    seen = keeping.read(store, knowledge, visit)

    changes = {c.fact: (c.on_sheet, c.now) for c in known_boiler.changed(store, knowledge, seen)}
    choices = knowledge.facts["fuel"].choices
    assert changes == {
        "fuel": (choices["propane"], choices["natural_gas"]),
        "altitude": ("nothing", "300 m"),
    }

    known_boiler.keep_changes(store, knowledge, seen)
    assert known_boiler.changed(store, knowledge, seen) == ()
    assert cards.boiler(store, boiler).sheet == {
        "fuel": "natural_gas", "rated_input": "32 kW", "altitude": "300 m"
    }  # fmt: skip


def test_a_visit_to_no_boiler_of_the_records_has_nothing_to_keep(store, knowledge, after):
    visit = after(happened.FactStated(fact="fuel", value="propane"))

    assert known_boiler.whose(store, knowledge, visit) is None
    assert known_boiler.changed(store, knowledge, visit) == ()
    number = known_boiler.keep_as_new(store, visit, "Now known")
    assert cards.boiler(store, number).sheet == {"fuel": "propane"}
    assert known_boiler.whose(store, knowledge, visit).id == number

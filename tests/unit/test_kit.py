"""A person's own instruments: kept, copied into every new visit, and never into an old one."""

import pytest

from engine.errors import UnreadableValue
from engine.knowledge.instruments import accuracy_of
from engine.visit import events as happened
from engine.visit import keeping, kit
from engine.visit.job_sheet import job_sheet
from engine.visit.job_sheet_text import as_text
from engine.visit.starting import start
from engine.visit.told import told

CO = happened.Found(check="co_high_fire", values={"co": "100 ppm", "o2": "5 %"})


def kinds(store, visit):
    return [event.body["kind"] for event in store.events(visit)]


def test_without_a_kit_every_instrument_is_typical_of_its_class(store, knowledge):
    assert kit.read(store, knowledge) == {}
    for tool in kit.tools(store, knowledge):
        assert not tool.own
        assert accuracy_of(knowledge, {}, tool.id) == knowledge.instruments[tool.id].accuracy


def test_the_unit_asked_for_reads_the_least_figure_of_every_instrument(store, knowledge):
    for tool in kit.tools(store, knowledge):
        kit.remember(store, knowledge, tool.id, "", "0.5")
        assert kit.read(store, knowledge)[tool.id].at_least == f"0.5 {tool.unit}"


def test_a_new_visit_is_begun_with_the_kit(store, knowledge):
    kit.remember(store, knowledge, "co_cell", "3 %", "5 ppm")
    kit.remember(store, knowledge, "manometer", "", "0.1 mbar")

    visit = start(store, knowledge, "technician", "cellar", ["locks_out_no_flame"])

    assert kinds(store, visit) == [
        "opened", "instrument_stated", "instrument_stated", "symptom_reported",
    ]  # fmt: skip
    state = keeping.read(store, knowledge, visit).state
    assert state.instruments == kit.read(store, knowledge)


def test_a_visit_stays_what_it_was_when_the_kit_changes(store, knowledge):
    kit.remember(store, knowledge, "co_cell", "3 %")
    visit = start(store, knowledge, "technician", symptoms=["locks_out_no_flame"])
    keeping.record(store, knowledge, visit, CO)
    before = keeping.read(store, knowledge, visit)

    kit.remember(store, knowledge, "co_cell", "30 %")
    kit.remember(store, knowledge, "o2_cell", "", "2 %")

    assert keeping.read(store, knowledge, visit) == before


def test_stating_in_a_visit_leaves_the_kit_alone(store, knowledge):
    visit = keeping.begin(store, knowledge, "technician")
    stated = happened.InstrumentStated(instrument="co_cell", of_reading="3 %")
    keeping.record(store, knowledge, visit, stated)

    assert kit.read(store, knowledge) == {}


def test_two_empty_fields_forget_an_instrument(store, knowledge):
    kit.remember(store, knowledge, "co_cell", "3 %")
    kit.remember(store, knowledge, "co_cell", " ", "")

    assert store.kit() == {}


@pytest.mark.parametrize(
    ("instrument", "of_reading", "at_least", "words"),
    [
        ("co_sell", "3 %", "", "write 'co_cell'"),
        ("co_cell", "three", "", "does not start with a number"),
        ("co_cell", "-1", "", "below zero"),
        ("co_cell", "", "-1", "below zero"),
        ("co_cell", "0", "0", "no instrument is exact"),
        ("co_cell", "50.1", "", "next to nothing"),
        ("co_cell", "", "2 mbar", "is not a share of the dry gas"),
        ("co_cell", "", "1 %" * 30, "longer than 64"),
        ("co_cell", "nan %", "", "does not start with a number"),
        ("co_cell", "", "1e999 ppm", "too large"),
        ("flue_thermocouple", "", "200 K", "nothing is left of 'Flue gas temperature'"),
        ("contact_thermometer", "", "2 mbar", "is not a temperature difference"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    store, knowledge, instrument, of_reading, at_least, words
):
    with pytest.raises(UnreadableValue, match=words):
        kit.remember(store, knowledge, instrument, of_reading, at_least)
    assert store.kit() == {}


def test_degrees_fahrenheit_are_a_difference(store, knowledge):
    """1.8 °F between two readings are 1 K; read as a temperature they would be 257 K."""
    kit.remember(store, knowledge, "contact_thermometer", "", "1.8 °F")
    visit = keeping.begin(store, knowledge, "technician")
    reading = {"flue": "60 °C", "return": "40 °C"}
    keeping.record(
        store, knowledge, visit, happened.Found(check="flue_temperature_rise", values=reading)
    )
    finding = keeping.read(store, knowledge, visit).state.findings[0]
    assert finding.banded.figure.deviation == pytest.approx((0.75**2 + 0.5**2) ** 0.5, rel=1e-6)


def test_what_this_knowledge_does_not_know_is_left_out(store, knowledge):
    store.put_in_kit("astrolabe", "3 %", "")
    store.put_in_kit("co_cell", "", "5 mbar")
    store.put_in_kit("manometer", "1 %", "")

    assert list(kit.read(store, knowledge)) == ["manometer"]
    assert kinds(store, keeping.begin(store, knowledge, "caller")) == [
        "opened", "instrument_stated",
    ]  # fmt: skip


def test_a_stated_accuracy_stands_among_what_was_told_and_on_the_job_sheet(store, knowledge):
    kit.remember(store, knowledge, "co_cell", "3 %", "5 ppm")
    visit = start(store, knowledge, "technician", symptoms=["locks_out_no_flame"])
    again = happened.InstrumentStated(instrument="co_cell")
    words = "CO cell of a flue-gas analyser ± 3 % of the reading, at least 5 ppm, as stated by you"

    before = keeping.read(store, knowledge, visit)
    assert words in as_text(job_sheet(knowledge, before))
    keeping.record(store, knowledge, visit, again)
    now = keeping.read(store, knowledge, visit)
    entries = [entry.text for entry in told(knowledge, now) if entry.kind == "Instrument"]
    assert entries == [
        "CO cell of a flue-gas analyser ± 5 % of the reading, at least 10 ppm, "
        "typical of its class",
        words,
    ]
    assert words not in as_text(job_sheet(knowledge, now))

"""A sheet's values entered into a visit: each check for itself, danger last, odd values asked."""

import pytest

from engine.errors import UnknownVisit
from engine.readings.handing import for_visit
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.from_readings import hand_over, open_visits

SHEET = {
    "o2": "5 %", "co2": "9 %", "co2_basis": "measured", "co": "40 ppm", "flue": "52 °C",
    "return": "40 °C",
}  # fmt: skip


@pytest.fixture
def begun(store, knowledge):
    """Begins a visit; its id."""

    def begin(*events, who="technician"):
        visit = keeping.begin(store, knowledge, who)
        for event in events:
            keeping.record(store, knowledge, visit, event)
        return visit

    return begin


@pytest.fixture
def found(store):
    """The answers stored in a visit, in the order of storing."""

    def of(visit):
        events = [happened.EVENT.validate_python(e.body) for e in store.events(visit)]
        return [event for event in events if isinstance(event, happened.Found)]

    return of


def sheet(knowledge, **changed):
    return for_visit(knowledge, "flue_gas", {**SHEET, **changed}, "high")


def by_check(results):
    return {result.check: result for result in results}


def test_every_check_that_the_sheet_answers_is_entered_as_typed(store, knowledge, begun, found):
    visit = begun()
    results = hand_over(store, knowledge, visit, sheet(knowledge))

    assert {event.check: event.values for event in found(visit)} == {
        "mixture_high_fire": {"o2": "5 %", "co2": "9 %"},
        "co_high_fire": {"co": "40 ppm", "o2": "5 %"},
        "flue_temperature_rise": {"flue": "52 °C", "return": "40 °C"},
    }
    numbers = {e.number: e.body["check"] for e in store.events(visit) if "check" in e.body}
    assert {r.event: r.check for r in results} == numbers
    assert not any(r.question or r.refusal for r in results)
    assert all(r.name == knowledge.checks[r.check].name for r in results)


def test_the_visit_reckons_with_what_was_handed_over(store, knowledge, begun):
    """12 K between flue gas and return."""
    visit = begun()
    hand_over(store, knowledge, visit, sheet(knowledge))

    current = keeping.read(store, knowledge, visit).state.current()
    assert current["flue_temperature_rise"].banded.figure.value == pytest.approx(12)
    assert current["co_high_fire"].outcome == "low"


def test_what_a_caller_may_not_measure_is_refused(store, knowledge, begun, found):
    visit = begun(who="caller")
    results = hand_over(store, knowledge, visit, sheet(knowledge))

    assert found(visit) == []
    assert results
    for result in results:
        assert result.event is None
        assert "not for this person" in result.refusal


def test_danger_stops_the_visit_and_what_was_read_with_it_still_stands(
    store, knowledge, begun, found
):
    """900 ppm at 5 % O2 are 900 * 20.9 / 15.9 = 1183 ppm air-free, above every limit."""
    visit = begun()
    handed = sheet(knowledge, co="900 ppm")
    danger_first = sorted(handed, key=lambda one: one.check != "co_high_fire")
    results = hand_over(store, knowledge, visit, danger_first)

    assert keeping.read(store, knowledge, visit).state.danger
    assert len(found(visit)) == 3
    assert found(visit)[-1].check == "co_high_fire"
    assert [r.check for r in results] == [one.check for one in danger_first]
    assert all(r.event is not None for r in results)


def test_after_a_danger_nothing_is_taken_any_more(store, knowledge, begun, found):
    visit = begun()
    hand_over(store, knowledge, visit, sheet(knowledge, co="900 ppm"))
    later = hand_over(store, knowledge, visit, sheet(knowledge))

    assert len(found(visit)) == 3
    assert all("danger sign stands" in result.refusal for result in later)


def test_an_odd_value_is_asked_about_and_the_others_are_entered(store, knowledge, begun, found):
    visit = begun()
    handed = sheet(knowledge, flue="300 °C")
    asked = by_check(hand_over(store, knowledge, visit, handed))

    assert asked["flue_temperature_rise"].event is None
    assert asked["flue_temperature_rise"].question.endswith("?")
    assert "flue_temperature_rise" not in [event.check for event in found(visit)]
    assert asked["mixture_high_fire"].event is not None
    assert asked["co_high_fire"].event is not None

    rest = [one for one in handed if one.check == "flue_temperature_rise"]
    sure = hand_over(store, knowledge, visit, rest, sure={"flue_temperature_rise"})
    assert sure[0].event is not None
    assert found(visit)[-1] == happened.Found(
        check="flue_temperature_rise", values={"flue": "300 °C", "return": "40 °C"}, sure=True
    )


def test_to_be_sure_of_one_value_does_not_wave_another_through(store, knowledge, begun):
    handed = sheet(knowledge, flue="300 °C", co2="90 %")
    results = by_check(hand_over(store, knowledge, begun(), handed, sure={"flue_temperature_rise"}))
    assert results["flue_temperature_rise"].event is not None
    assert results["mixture_high_fire"].question


@pytest.mark.parametrize("text", ["lots", "5 kg", "9" * 65, "1,234 ppm"])
def test_a_refused_value_says_why_and_the_others_are_entered(store, knowledge, begun, found, text):
    visit = begun()
    results = by_check(hand_over(store, knowledge, visit, sheet(knowledge, co=text)))

    assert results["co_high_fire"].event is None
    assert results["co_high_fire"].refusal
    assert [event.check for event in found(visit)] == ["mixture_high_fire", "flue_temperature_rise"]


def test_a_closed_visit_takes_nothing(store, knowledge, begun, found):
    visit = begun(happened.Closed(end="no_listed_cause"))
    results = hand_over(store, knowledge, visit, sheet(knowledge))

    assert found(visit) == []
    assert all("closed" in result.refusal for result in results)


def test_a_visit_that_is_none_is_refused(store, knowledge):
    with pytest.raises(UnknownVisit):
        hand_over(store, knowledge, 99, sheet(knowledge))


def test_only_open_visits_are_offered_the_latest_first(store, knowledge, begun):
    first, closed = begun(), begun(happened.Closed(end="no_listed_cause"))
    last = begun()

    assert [visit.id for visit in open_visits(store, knowledge)] == [last, first]
    assert closed not in [visit.id for visit in open_visits(store, knowledge)]


REPAIRED = (
    happened.SymptomReported(symptom="flame_lost_after_lighting"),
    happened.Found(check="flame_rod_seen", outcome="coated"),
    happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated"),
)


def test_after_a_repair_the_same_reading_proves_what_waits_for_it(store, knowledge, begun):
    """Combustion at high fire is to be proven after the rod was out; the flue is not."""
    visit = begun(*REPAIRED)
    hand_over(store, knowledge, visit, sheet(knowledge))

    stored = [happened.EVENT.validate_python(e.body) for e in store.events(visit)]
    proved = {e.closing: e.values for e in stored if isinstance(e, happened.Proved)}
    assert proved["combustion_high_fire"] == {"o2": "5 %", "co2": "9 %"}
    found = {e.check for e in stored[4:] if isinstance(e, happened.Found)}
    assert "mixture_high_fire" not in found
    assert "flue_temperature_rise" in found
    after = keeping.read(store, knowledge, visit)
    assert "combustion_high_fire" not in after.view.still_open


def test_a_reading_that_does_not_hold_proves_nothing(store, knowledge, begun):
    visit = begun(*REPAIRED)
    hand_over(store, knowledge, visit, sheet(knowledge, o2="9 %", co2="6.5 %"))

    after = keeping.read(store, knowledge, visit)
    assert "combustion_high_fire" in after.view.still_open
    assert "mixture_high_fire" in after.state.current()

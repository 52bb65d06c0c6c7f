"""The boiler's sheet at the step: what a look is held against, and what its figures bring along."""

import pytest

from engine.knowledge.facts import circumstances, fact_from_text
from engine.planner.situation import HANDED_ON, REFER_MINUTES, beyond_hands
from engine.readings.words import ASSUMED, TYPICAL, held_against
from engine.visit import events as happened
from engine.visit.keeping import Visit, begin, read, record
from engine.visit.state import fold
from engine.visit.steps import taken
from engine.visit.text import step_lines


def facts_of(knowledge, **typed):
    return {name: fact_from_text(knowledge, name, text) for name, text in typed.items()}


def test_a_typical_figure_says_that_it_is_one(knowledge):
    lines = held_against(knowledge, {}, knowledge.checks["igniter_seen"])

    assert lines == (
        f"Least gap of the spark electrode: 3 mm, {TYPICAL}",
        f"Widest gap of the spark electrode: 5 mm, {TYPICAL}",
    )


def test_the_boilers_own_figure_takes_its_place(knowledge):
    facts = facts_of(knowledge, electrode_gap_min="4 mm", electrode_gap_max="0.22 in")

    lines = held_against(knowledge, facts, knowledge.checks["igniter_seen"])

    assert lines == (
        "Least gap of the spark electrode: 4 mm",
        "Widest gap of the spark electrode: 5.59 mm",
    )


def test_an_assumed_choice_says_so_and_a_stated_one_does_not(knowledge):
    closing = knowledge.closing["new_igniter_gasket"]

    (assumed,) = held_against(knowledge, {}, closing)
    (stated,) = held_against(knowledge, {"gasket_reuse": "maker_allows"}, closing)

    assert assumed.endswith(f"New at every opening, {ASSUMED}")
    assert stated.endswith(": Reuse allowed by a printed rule")


def test_an_unknown_choice_says_where_to_find_it(knowledge):
    (rule, _) = held_against(knowledge, {}, knowledge.checks["mixture_low_fire"])

    assert rule.endswith(f": not known. {knowledge.facts['low_fire_rule'].help}")


def test_the_step_shows_it_after_the_moves(knowledge, store):
    visit = begin(store, knowledge, "technician", "cellar")
    record(store, knowledge, visit, happened.SymptomReported(symptom="locks_out_no_flame"))
    record(store, knowledge, visit, happened.FactStated(fact="igniter_type", value="spark"))
    seen: Visit = read(store, knowledge, visit)

    lines = step_lines(knowledge, taken(knowledge, seen, "check", "igniter_seen"))

    last = knowledge.checks["igniter_seen"].how[-1]
    assert [line for line in lines if "Sheet: " in line] == lines[-2:]
    assert lines[-3].endswith(last)


@pytest.mark.parametrize(
    ("age", "holds"), [("0 year", True), ("11 months", True), ("1 year", False), ("9 year", False)]
)
def test_a_boiler_under_a_year_is_a_new_installation(knowledge, age, holds):
    facts = facts_of(knowledge, boiler_age=age)

    assert (circumstances(knowledge, facts, ()) == ("new_installation",)) is holds


def test_a_circumstance_stated_and_brought_along_counts_once(knowledge):
    facts = facts_of(knowledge, boiler_age="0 year")

    both = circumstances(knowledge, facts, ("cold_snap", "new_installation"))

    assert both == ("cold_snap", "new_installation")


def test_taking_the_age_back_takes_the_circumstance_with_it(knowledge):
    history = [
        (1, happened.Opened(who="technician")),
        (2, happened.FactStated(fact="boiler_age", value="0.5 year")),
    ]

    assert fold(knowledge, history).contexts == ("new_installation",)
    assert fold(knowledge, [*history, (3, happened.TakenBack(event=2))]).contexts == ()


def test_handing_on_costs_others_work_up_to_half_a_referral(knowledge):
    leak = knowledge.actions["refer_hidden_leak"]
    assert not leak.parts

    assert beyond_hands(knowledge, "refer_hidden_leak", "technician") == leak.others_minutes
    for who in ("technician_no_gas", "caller"):
        most = HANDED_ON * REFER_MINUTES[who]
        assert beyond_hands(knowledge, "refer_hidden_leak", who) == most < leak.others_minutes


def test_every_referral_counts_the_work_of_whom_it_goes_to(knowledge):
    handed = {name for name, entry in knowledge.actions.items() if entry.kind == "refer"}

    assert handed == {name for name, entry in knowledge.actions.items() if entry.others_minutes}

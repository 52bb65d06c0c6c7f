"""What is open, what closing it takes, and what is worth doing before."""

import pytest

from engine import safety
from engine.knowledge import graph as graphs
from engine.visit import events as happened
from engine.visit.opened import into_access, shut_by, shut_for
from engine.visit.while_open import OFFERED, open_now, reachable, worth_doing

LOST = happened.SymptomReported(symptom="flame_lost_after_lighting")
ROD = happened.Found(check="flame_rod_seen", outcome="coated")
CLEANED = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")


@pytest.fixture
def rod_out(after):
    return after(LOST, ROD)


def test_what_is_open_is_named_from_the_inside_with_the_minutes_of_its_layers(rod_out, knowledge):
    """By knowledge/access.yaml: power 2, gas cock 1, cover 3 and rod 7 minutes to close."""
    now = open_now(knowledge, rod_out.state)

    assert now.innermost == ("Flame rod out",)
    assert set(now.with_them) == {
        "Power off, locked, proven dead", "Gas cock shut", "Front cover off"
    }  # fmt: skip
    assert now.to_close == 13
    rod = knowledge.access["flame_rod_out"]
    cover = knowledge.access["cover_off"]
    assert set(now.obliges) == {knowledge.closing[n].name for n in (*rod.closing, *cover.closing)}
    assert now.line().startswith("Flame rod out (13 min to close again, ")


def test_nothing_open_says_nothing(after, knowledge):
    visit = after(LOST)

    assert open_now(knowledge, visit.state).line() == ""
    assert worth_doing(knowledge, visit) == ()


def test_what_is_proven_is_not_obliged_any_more(after, knowledge):
    gasket = happened.Proved(closing="new_flame_rod_gasket", words="a new one, dry")
    before = open_now(knowledge, after(LOST, ROD, CLEANED).state)
    now = open_now(knowledge, after(LOST, ROD, CLEANED, gasket).state)

    name = knowledge.closing["new_flame_rod_gasket"].name
    assert name in before.obliges
    assert name not in now.obliges


def every_way(after):
    """Visits with this and that open."""
    yield after(LOST, ROD)
    yield after(LOST, happened.Found(check="flame_rod_seen", outcome="clean"))
    yield after(LOST, happened.Found(check="sense_lead_seen", outcome="sound"))
    yield after(
        LOST, happened.Found(check="inlet_gas_pressure_static", values={"pressure": "20 mbar"})
    )
    yield after(
        LOST, ROD, happened.FactStated(fact="fuel", value="propane"),
        happened.Found(check="burner_earth_resistance", values={"resistance": "0.1 ohm"}),
    )  # fmt: skip
    yield after(LOST, happened.Found(check="supply_earth_tested", outcome="good"),
                who="technician_no_gas")  # fmt: skip
    yield after(LOST, ROD, CLEANED)


def test_nothing_offered_opens_shuts_or_starts_anything_or_is_made_already(after, knowledge):
    offered = 0
    for visit in every_way(after):
        state = visit.state
        for offer in worth_doing(knowledge, visit, most=1000):
            offered += 1
            kind = f"{offer.kind}s"
            step = getattr(knowledge, kind)[offer.id]
            wanted = graphs.opening_order(knowledge.graph, step.access)
            assert set(into_access(knowledge, state, step).opened) == set(state.opened)
            assert shut_for(knowledge, state.opened, step, wanted) == ()
            assert any(knowledge.access[n].kind == "opened" for n in wanted)
            assert safety.allowed(knowledge, state.who, kind, offer.id)
            assert safety.possible(knowledge, state.facts, kind, offer.id)
            made = {f.check for f in state.findings} if not state.done else set()
            assert offer.id not in made
            assert offer.id not in {done.action for done in state.done}
            assert (offer.kind, offer.id) != (visit.view.next.kind, visit.view.next.id)
    assert offered > 20


def test_they_come_in_the_order_of_the_planner_and_are_few(rod_out, knowledge):
    every = worth_doing(knowledge, rod_out, most=1000)
    ranked = [(option.kind, option.name) for option in rod_out.view.every]

    places = [ranked.index((offer.kind, offer.id)) for offer in every]
    assert places == sorted(places)
    assert worth_doing(knowledge, rod_out) == every[:OFFERED]
    assert len(every) > OFFERED
    refer = next(o for o in rod_out.view.every if o.kind == "refer")
    assert all(rod_out.view.every[p].expected_minutes < refer.expected_minutes for p in places)


def test_what_was_set_aside_is_not_offered(after, knowledge, rod_out):
    first = worth_doing(knowledge, rod_out)[0]
    again = after(LOST, ROD, happened.Skipped(step=first.id, reason="no meter"))

    assert first.id not in {offer.id for offer in worth_doing(knowledge, again, most=1000)}


def test_a_check_is_made_again_only_where_a_repair_has_changed_what_it_shows(after, knowledge):
    """Cleaning the rod changes what the rod shows; the earth of the burner is as it was."""
    earth = happened.Found(check="burner_earth_resistance", values={"resistance": "0.1 ohm"})
    before, since = after(LOST, earth, ROD), after(LOST, earth, ROD, CLEANED)

    def reached(visit):
        names = ("flame_rod_seen", "burner_earth_resistance", "sense_lead_seen")
        return [n for n in names if reachable(knowledge, visit.state, "checks", n)]

    assert reached(before) == ["sense_lead_seen"]
    assert reached(since) == ["flame_rod_seen", "sense_lead_seen"]


def test_whatever_is_opened_is_shut_by_one_of_the_steps_it_obliges(knowledge):
    """By a start or a sentence that it is back: the check of a closing step may open it itself."""
    for name, layer in knowledge.access.items():
        if layer.kind != "opened":
            continue
        shut = []
        for closing in layer.closing:
            check = knowledge.closing[closing].check
            opens_it = check is not None and name in knowledge.checks[check].access
            if name in shut_by(knowledge, (name,), closing) and not opens_it:
                shut.append(closing)
        assert shut or layer.shut_to_run, name

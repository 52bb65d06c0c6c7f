"""Rules that hold in every visit that anybody can enter, not in examples of one."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engine import safety
from engine.errors import NotAllowed
from engine.knowledge.before import FIVE_STARTS
from engine.visit import events as happened
from engine.visit.consult import as_json
from engine.visit.findings import holding
from engine.visit.opened import open_closing, prevented, required_closing
from engine.visit.state import fold, live
from engine.visit.taking import check_event
from engine.visit.view import look, proof_step, step_of
from tests import strategies

FIRING = {"firing_low", "firing_high"}


def offered(knowledge, state, view):
    """Every step that a view offers, as (kind of entry, id)."""
    kinds = {"check": "checks", "action": "actions"}
    steps = {(kinds[o.kind], o.name) for o in view.ranking if o.kind in kinds}
    steps |= {("actions", advised.id) for advised in view.actions}
    if view.next and view.next.kind in kinds:
        steps.add((kinds[view.next.kind], view.next.id))
    return steps


def complete(knowledge, state, view):
    """Every step of a view with its access and cautions, as a person would be shown it."""
    steps = [
        step_of(knowledge, state, view.thought, option, 0.0)
        for option in view.ranking
        if option.kind != "refer"
    ]
    if state.done:
        steps += [
            proof_step(knowledge, state, name)
            for name in view.still_open
            if safety.may_prove(knowledge, state.who, name)
        ]
    return [*steps, *([view.next] if view.next and view.next.kind != "refer" else [])]


@settings(max_examples=40)
@given(data=st.data())
def test_a_danger_sign_always_stops_the_visit(knowledge, data):
    """Whatever else was entered, nothing is asked, ranked or advised after a danger sign."""
    history = data.draw(strategies.visits(knowledge), label="visit")
    sign = data.draw(strategies.dangers(knowledge), label="danger sign")
    if isinstance(sign, happened.Found):
        history = (*history, (len(history) + 1, happened.HandedOver(who="technician")))
    history = (*history, (len(history) + 1, sign))

    view = look(knowledge, fold(knowledge, history))

    assert view.status == "stop"
    assert view.next is None
    assert not view.ranking
    assert not view.actions
    assert view.cautions  # the words to say at once


@settings(max_examples=40)
@given(data=st.data())
def test_after_a_danger_sign_no_further_step_is_taken(knowledge, data):
    history = data.draw(strategies.visits(knowledge), label="visit")
    sign = happened.SymptomReported(symptom="gas_smell")
    history = (*history, (len(history) + 1, sign))
    further = data.draw(
        strategies.findings(knowledge, harmless=False)
        | strategies.skips(knowledge)
        | strategies.proofs(knowledge)
        | strategies.contexts(knowledge),
        label="further step",
    )

    with pytest.raises(NotAllowed, match="danger sign stands"):
        check_event(knowledge, history, further)


@settings(max_examples=30)
@given(data=st.data())
def test_a_caller_is_offered_no_technicians_step_and_nothing_behind_a_cover(knowledge, data):
    who = st.just("caller")
    history = data.draw(strategies.visits(knowledge, who=who), label="visit")
    state = fold(knowledge, history)
    view = look(knowledge, state)

    for kind, name in offered(knowledge, state, view):
        step = getattr(knowledge, kind)[name]
        assert step.who == "caller", f"{kind} {name} is for a {step.who}"
        _reached_by_a_caller(knowledge, step.access)
    if view.next and view.next.kind == "proof":
        closing = knowledge.closing[view.next.id]
        assert closing.who == "caller"
        if closing.check:
            _reached_by_a_caller(knowledge, knowledge.checks[closing.check].access)


def _reached_by_a_caller(knowledge, states):
    """Written against the files, not against the engine's own gate."""
    for name in states:
        access = knowledge.access[name]
        assert access.kind != "opened"
        assert access.who == "caller"
        _reached_by_a_caller(knowledge, access.needs)


@settings(max_examples=30)
@given(data=st.data())
def test_nothing_is_done_before_what_must_come_before_it(knowledge, data):
    """Every repair that a visit holds, and the one advised, against the files' own words."""
    history = data.draw(strategies.visits(knowledge), label="visit")
    state = fold(knowledge, history)
    view = look(knowledge, state)
    held = {name: f.outcome for name, f in holding(knowledge, state).items()}

    if view.next and view.next.kind == "action":
        for check, outcomes in knowledge.actions[view.next.id].only_after.items():
            if safety.possible(knowledge, state.facts, "checks", check):
                assert held[check] in outcomes
    for option in view.ranking:
        if option.kind == "action":
            for check, outcomes in knowledge.actions[option.name].only_after.items():
                assert held.get(check) in (None, *outcomes)


def test_a_caller_opens_nothing_even_where_the_files_would_let_him(knowledge):
    """The gate does not lean on the files alone: a cover marked for callers stays shut to them."""
    name, check = next(
        (name, check)
        for name, check in knowledge.checks.items()
        if safety.opened_for(knowledge, "checks", name) == ("cover_off",)
    )
    as_caller = {"who": "caller"}
    cover = knowledge.access["cover_off"].model_copy(update=as_caller)
    careless = replace(
        knowledge,
        access={**knowledge.access, "cover_off": cover},
        checks={**knowledge.checks, name: check.model_copy(update=as_caller)},
    )

    assert safety.allowed(careless, "technician_no_gas", "checks", name)
    assert not safety.allowed(careless, "caller", "checks", name)


def test_a_caller_who_cleared_the_snow_is_offered_no_licensed_proof(knowledge):
    """Five starts and combustion readings prove a repair, and they are not a caller's work: what he
    may do is proven by the boiler starting by itself, and by a look."""
    history = strategies.mended(
        knowledge, "intake_blocked", "clear_terminals_from_ground", who="caller"
    )
    state = fold(knowledge, history)
    assert state.done, "the caller may clear snow from the ground"

    view = look(knowledge, state)

    assert view.next.kind == "proof"
    assert set(view.still_open) == {"runs_on", "terminals_clear"}
    for name in view.still_open:
        closing = knowledge.closing[name]
        assert closing.who == "caller"
        assert not closing.check or knowledge.checks[closing.check].who == "caller"


def test_what_a_caller_did_is_proven_like_any_repair_once_more_was_done(knowledge):
    """A safe act and a repair behind covers: five starts and both rates are due again."""
    history = strategies.mended(
        knowledge, "intake_blocked", "clear_terminals_from_ground", who="caller"
    )
    assert FIVE_STARTS not in required_closing(knowledge, fold(knowledge, history))
    more = [
        happened.HandedOver(who="technician"),
        happened.Found(check="intake_path_seen", outcome="blocked"),
        happened.ActionDone(action="clear_intake_run", cause="intake_blocked"),
    ]
    state = fold(knowledge, strategies.accepted(knowledge, more, history))
    assert state.done[-1].action == "clear_intake_run"
    assert {FIVE_STARTS, "co_high_fire_ok"} <= set(required_closing(knowledge, state))
    assert "runs_on" not in required_closing(knowledge, state)


@settings(max_examples=30)
@given(data=st.data())
def test_what_a_person_may_not_do_is_refused_when_entered(knowledge, data):
    who = data.draw(st.sampled_from(("caller", "technician_no_gas")), label="who")
    name = data.draw(
        st.sampled_from([n for n, c in knowledge.checks.items() if c.who == "technician"])
    )
    check = knowledge.checks[name]
    outcome = data.draw(st.sampled_from(sorted(check.outcomes)))
    history = ((1, happened.Opened(who=who)),)

    with pytest.raises(NotAllowed):
        check_event(knowledge, history, happened.Found(check=name, outcome=outcome))


@settings(max_examples=25)
@given(data=st.data())
def test_every_step_offered_carries_its_isolation_and_a_caution_for_each_hazard(knowledge, data):
    history = data.draw(strategies.visits(knowledge), label="visit")
    state = fold(knowledge, history)
    view = look(knowledge, state)

    for step in complete(knowledge, state, view) if view.thought else ():
        layers = [knowledge.access[name] for name in step.access]
        if any(x.shut_to_run and {"gas", "combustion"} & set(x.breaks) for x in layers):
            assert "isolated" in step.access, step.id
        said = {c.hazard for c in knowledge.cautions.values() if c.says in step.cautions}
        hazards = {hazard for layer in layers for hazard in layer.hazards}
        hazards |= set(_entry(knowledge, step).hazards)
        assert hazards <= said, f"{step.id}: nothing is said of {hazards - said}"


def _entry(knowledge, step):
    if step.kind == "proof":
        check = knowledge.closing[step.id].check
        return knowledge.checks[check] if check else knowledge.access["powered_idle"]
    return getattr(knowledge, f"{step.kind}s")[step.id]


def test_every_step_of_the_knowledge_is_isolated_where_it_breaks_the_circuit(knowledge):
    """Whatever would be offered one day; the rule is not left to the visits drawn above."""
    for kind in ("checks", "actions"):
        for name in getattr(knowledge, kind):
            states = safety.opened_for(knowledge, kind, name)
            layers = [knowledge.access[state] for state in states]
            if any(x.shut_to_run and {"gas", "combustion"} & set(x.breaks) for x in layers):
                assert "isolated" in states, f"{kind} {name}"
            assert not safety.uncovered(knowledge, kind, name), f"{kind} {name}"


@settings(max_examples=25)
@given(data=st.data())
def test_a_step_never_asks_for_states_that_exclude_each_other(knowledge, data):
    """After what has to be shut and opened, everything the step needs holds at once."""
    history = data.draw(strategies.visits(knowledge), label="visit")
    state = fold(knowledge, history)
    view = look(knowledge, state)

    for step in complete(knowledge, state, view) if view.thought else ():
        kept = set(state.opened) - set(step.to_shut)
        holding = kept | set(step.to_open)
        assert set(step.access) <= holding, step.id
        for one in holding:
            for other in step.access:
                pair = knowledge.access[one], knowledge.access[other]
                assert not pair[0].excludes(pair[1]), f"{step.id}: {one} with {other}"


@settings(max_examples=25)
@given(data=st.data())
def test_the_order_of_findings_does_not_matter(knowledge, data):
    """Findings on an unchanged boiler, one for each check, in any order: the same belief.

    The advice may differ, for the last check decides what is open.
    """
    opened = happened.Opened(who="technician")
    symptom = data.draw(strategies.plain_symptoms(knowledge), label="complaint")
    found = data.draw(
        st.lists(
            strategies.findings(knowledge), min_size=2, max_size=5, unique_by=lambda e: e.check
        ),
        label="findings",
    )
    first = (opened, happened.SymptomReported(symptom=symptom))
    one = strategies.accepted(knowledge, (*first, *found))
    taken = [event for _, event in one[2:]]
    other = (*first, *data.draw(st.permutations(taken), label="in another order"))
    other = tuple(enumerate(other, start=1))

    before, after = (look(knowledge, fold(knowledge, history)) for history in (one, other))

    assert (before.status == "stop") == (after.status == "stop")
    if before.thought:
        chances = {s.cause: s.probability for s in after.suspects}
        assert {s.cause: s.probability for s in before.suspects} == pytest.approx(
            chances, rel=0, abs=1e-9
        )
        assert before.none_of_these == pytest.approx(after.none_of_these, rel=0, abs=1e-9)


@settings(max_examples=30)
@given(data=st.data())
def test_undo_restores_the_exact_state(knowledge, data):
    history = data.draw(strategies.visits(knowledge), label="visit")
    event = data.draw(
        strategies.findings(knowledge, harmless=False)
        | strategies.skips(knowledge)
        | strategies.facts(knowledge)
        | strategies.proofs(knowledge)
        | strategies.contexts(knowledge),
        label="event",
    )
    before = fold(knowledge, history)
    longer = strategies.accepted(knowledge, [event], history)

    undone = (*longer, (len(longer) + 1, happened.TakenBack(event=len(longer))))

    if longer != history:
        assert fold(knowledge, undone) == before
        redone = (*undone, (len(undone) + 1, happened.TakenBack(event=len(undone))))
        assert fold(knowledge, redone) == fold(knowledge, longer)


@settings(max_examples=40)
@given(data=st.data())
def test_probabilities_and_minutes_are_numbers_that_mean_something(knowledge, data):
    history = data.draw(strategies.visits(knowledge, harmless=False), label="visit")
    view = look(knowledge, fold(knowledge, history))
    printed = as_json(knowledge, view)

    shares = [s["probability"] for s in printed["suspects"]]
    shares += [printed["none_of_these"], printed["remainder"], view.mended]
    assert all(0 <= share <= 1 + 1e-12 for share in shares)
    if view.thought:
        assert math.fsum(view.thought.belief.weights) == pytest.approx(1, rel=0, abs=1e-9)
        assert all(weight >= 0 for weight in view.thought.belief.weights)
    for option in printed["ranking"]:
        assert 0 < option["expected_minutes"] < math.inf
    for entry in printed["calculations"]:
        assert math.isfinite(entry["value"])
        assert math.isfinite(entry["deviation"])


@settings(max_examples=30)
@given(data=st.data())
def test_nothing_is_called_mended_while_a_closing_step_is_open(knowledge, data):
    history = data.draw(strategies.visits(knowledge), label="visit")
    state = fold(knowledge, history)
    end = happened.Closed(end="mended_and_proven")

    if not state.done or open_closing(knowledge, state):
        with pytest.raises(NotAllowed):
            check_event(knowledge, history, end)
    else:
        passed = {proof.closing for proof in state.proofs if proof.passed}
        safe = all(knowledge.actions[done.action].who == "caller" for done in state.done)
        assert ("runs_on" if safe else FIVE_STARTS) in passed
        check_event(knowledge, history, end)


@settings(max_examples=40)
@given(data=st.data())
def test_nothing_is_called_safe_while_a_cover_or_test_point_is_open(knowledge, data):
    history = data.draw(strategies.visits(knowledge), label="visit")
    state = fold(knowledge, history)
    assume(not state.danger and not state.end)
    said = {proof.closing for proof in state.proofs}
    waits = [
        closing
        for layer in state.opened
        for closing in knowledge.access[layer].closing
        if closing in ("covers_and_seals_on", "test_points_closed") and closing not in said
    ]
    end = happened.Closed(end="made_safe_and_referred", words="the gas supplier")

    if waits and state.who == "technician":
        with pytest.raises(NotAllowed, match="not made safe yet"):
            check_event(knowledge, history, end)
    elif not state.opened:
        check_event(knowledge, history, end)


def test_limits_swapped_after_a_reading_are_told_with_it_and_go_with_the_mistake(knowledge):
    """Nothing crashes: the finding says what is wrong, and counts for nothing until it is right."""
    entered = (
        happened.Opened(who="technician"),
        happened.SymptomReported(symptom="locks_out_no_flame"),
        happened.Found(check="mixture_high_fire", values={"o2": "5 %"}),
        happened.FactStated(fact="co2_high_max", value="8.5 %"),
        happened.FactStated(fact="co2_high_min", value="9.5 %"),
        happened.FactStated(fact="co2_high_max", value="10.5 %"),
    )
    history = tuple(enumerate(entered, start=1))
    at_first, swapped, right = (
        fold(knowledge, history[:length]).current()["mixture_high_fire"] for length in (3, 5, 6)
    )

    assert at_first.outcome == "in_range"  # 9.0 % CO2
    assert (swapped.outcome, swapped.banded) == (None, None)
    assert "enter both, the lower one first" in swapped.problem
    assert look(knowledge, fold(knowledge, history[:5])).status == "ask"
    assert (right.outcome, right.problem) == ("lean", None)


REPAIRS = [("flame_rod_coated", "clean_flame_rod"), ("trap_blocked", "clean_trap")]


@pytest.mark.parametrize(("cause", "action"), REPAIRS)
@settings(max_examples=20)
@given(data=st.data())
def test_one_missing_proof_is_enough_to_refuse(knowledge, cause, action, data):
    """A repair proven to the last step may be called mended, and not with any one step less."""
    history = strategies.proven(knowledge, strategies.mended(knowledge, cause, action))
    end = happened.Closed(end="mended_and_proven")
    check_event(knowledge, history, end)
    proved = [n for n, event in live(history) if isinstance(event, happened.Proved)]
    last = {dict(history)[n].closing: n for n in proved}

    missing = data.draw(st.sampled_from(sorted(last)), label="missing")
    number = len(history)
    less = history
    for n in (n for n in proved if dict(history)[n].closing == missing):
        number += 1
        less = (*less, (number, happened.TakenBack(event=n)))

    with pytest.raises(NotAllowed, match="not proven yet"):
        check_event(knowledge, less, end)


@settings(max_examples=30)
@given(data=st.data())
def test_no_firing_step_is_offered_after_a_start_without_flame(knowledge, data):
    """A boiler that does not light cannot be measured while it fires, before a repair or after."""
    who = st.sampled_from(("technician", "technician_no_gas"))
    history = data.draw(strategies.visits(knowledge, who=who), label="visit")
    outcome = data.draw(
        st.sampled_from(("spark_no_flame", "no_spark_no_flame", "fan_does_not_start"))
    )
    seen = happened.Found(check="start_sequence", outcome=outcome)
    history = strategies.accepted(knowledge, [seen], history)
    state = fold(knowledge, history)
    assume(not state.danger)  # a measured CO may have stopped the visit before
    view = look(knowledge, state)

    assert prevented(knowledge, state) >= FIRING
    names = {"check": "checks", "action": "actions"}
    steps = [(names[o.kind], o.name) for o in view.ranking if o.kind in names]
    for kind, name in steps:
        assert not FIRING & set(safety.opened_for(knowledge, kind, name)), name
    assert view.next is None or not FIRING & set(view.next.access)

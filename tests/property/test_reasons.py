"""Every reason given is carried by a number: over random visits, counted by other code."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from engine import explain, planner
from engine.belief.observers import reliability
from engine.planner import rollout
from engine.visit import events as happened
from engine.visit.ahead import answers
from engine.visit.keeping import Visit
from engine.visit.opened import required_closing
from engine.visit.state import fold
from engine.visit.view import look
from tests import strategies


@st.composite
def looked_at(draw, knowledge):
    """A random visit with something to advise, as it stands."""
    history = draw(strategies.visits(knowledge, moves=4), label="visit")
    state = fold(knowledge, history)
    view = look(knowledge, state)
    assume(view.thought is not None and view.ranking)
    return Visit(1, history, state, view)


def shown_with(knowledge, visit, check, cause):
    """P(answer | cause present), set by set, as this person reports it."""
    belief = visit.view.thought.belief
    sure = reliability(knowledge, check, visit.state.who)
    table = belief.space.foreseen(check, np.arange(len(belief.weights)))
    place = belief.space.network.causes.index(cause)
    total, mass = np.zeros(table.shape[1]), 0.0
    for weight, members, row in zip(belief.weights, belief.space.members, table, strict=True):
        if members[place]:
            total += weight * (sure * row + (1 - sure) / len(row))
            mass += weight
    return total / mass, mass


@settings(max_examples=25)
@given(data=st.data())
def test_whoever_is_named_as_separated_is_told_from_another_named(knowledge, data):
    """Each is at least twice as likely to bring some answer as another of those named, or half as
    likely; where only one stands apart, so it is against the boilers without it."""
    visit = data.draw(looked_at(knowledge))
    belief = visit.view.thought.belief
    check = data.draw(st.sampled_from(sorted(belief.space.network.background)), label="check")
    sure = reliability(knowledge, check, visit.state.who)
    named = explain.separates(belief, check, sure)
    pairs = explain.parted(belief, check, sure)
    shows = {name: shown_with(knowledge, visit, check, name) for name in named}

    for name in named:
        ratios = [shows[name][0] / shows[other][0] for other in named if other != name]
        assert np.abs(np.log(np.array(ratios))).max() >= np.log(2) - 1e-9, name
    overall = belief.weights @ belief.space.foreseen(check, np.arange(len(belief.weights)))
    overall = sure * overall + (1 - sure) / len(overall)
    for pair in pairs if not named else ():
        having, chance = shown_with(knowledge, visit, check, pair.more)
        lacking = (overall - chance * having) / (1 - chance)
        assert pair.ratio == pytest.approx((having / lacking)[pair.outcome], rel=1e-6)
        assert abs(np.log(pair.ratio)) >= np.log(2) - 1e-9
    for pair in pairs[:1]:
        if pair.less:
            more, less = (shows[name][0][pair.outcome] for name in (pair.more, pair.less))
            assert pair.ratio == pytest.approx(more / less, rel=1e-6)


@settings(max_examples=25)
@given(data=st.data())
def test_a_check_that_names_nobody_tells_no_two_leading_suspects_apart(knowledge, data):
    visit = data.draw(looked_at(knowledge))
    belief = visit.view.thought.belief
    check = data.draw(st.sampled_from(sorted(belief.space.network.background)), label="check")
    sure = reliability(knowledge, check, visit.state.who)
    assume(not explain.parted(belief, check, sure))

    leading = [name for name, p in explain.suspects(belief) if p >= 0.01]
    shows = [shown_with(knowledge, visit, check, name)[0] for name in leading]
    chance = belief.weights @ belief.space.foreseen(check, np.arange(len(belief.weights)))
    chance = sure * chance + (1 - sure) / len(chance)
    for one in shows:
        for other in shows:
            assert ((one / other)[chance >= 0.01] < 2).all()


@settings(max_examples=25)
@given(data=st.data())
def test_the_advised_step_is_the_cheapest_or_as_good_and_the_base_policys_own(knowledge, data):
    view = data.draw(looked_at(knowledge)).view
    priced = rollout.rank(view.now.problem, view.now.at)
    least = min(p.expected for p in priced)
    first, *rest = priced
    if first.expected > least:
        assert first.held
        assert first.step == rollout.first_of_base(view.now.problem, view.now.at)
        assert first.expected <= least + max(0.01 * least, 1.0)
    assert [p.expected for p in rest] == pytest.approx(sorted(p.expected for p in rest))


@settings(max_examples=25)
@given(data=st.data())
def test_the_answers_of_a_check_mean_its_expected_minutes(knowledge, data):
    """Chances sum to one; the minutes after the answers, weighted by them, and the step's own are
    its price. For the step advised that is the price of the ranking."""
    visit = data.draw(looked_at(knowledge))
    state, view = visit.state, visit.view
    option = data.draw(st.sampled_from(view.ranking[:4]), label="step")
    assume(option.kind == "check")
    entry = knowledge.checks[option.name]
    own = (
        entry.minutes
        + planner.way(knowledge, entry, state.opened, required_closing(knowledge, state)).total
    )
    seen = answers(knowledge, visit, option.name)
    outlook = planner.foresee(view.now, option.kind, option.name)

    assert own == pytest.approx(option.minutes)
    assert sum(answer.chance for answer in seen) == pytest.approx(1)
    if view.next is None or view.next.kind != "proof":
        mean = own + sum(answer.chance * answer.minutes for answer in seen)
        assert mean == pytest.approx(outlook.expected)
        assert planner.price(view.now, option.kind, option.name).expected_minutes == (
            pytest.approx(mean)
        )
        if option == view.ranking[0]:
            assert mean == pytest.approx(option.expected_minutes)


@settings(max_examples=15)
@given(data=st.data())
def test_the_suspects_after_an_answer_are_those_that_the_visit_then_shows(knowledge, data):
    visit = data.draw(looked_at(knowledge))
    checks = [option.name for option in visit.view.ranking if option.kind == "check"]
    assume(checks)
    check = data.draw(st.sampled_from(checks), label="check")
    answer = data.draw(st.sampled_from(answers(knowledge, visit, check)), label="answer")
    given_now = happened.Found(check=check, outcome=answer.outcome)
    after = look(knowledge, fold(knowledge, (*visit.history, (len(visit.history) + 1, given_now))))

    assert answer.stops == (after.status == "stop")
    if not answer.stops:
        shown = {suspect.cause: suspect.probability for suspect in after.suspects}
        told = {name: p for name, p in answer.suspects if name in shown}
        assert told == pytest.approx(shown)


@settings(max_examples=25)
@given(data=st.data())
def test_a_repair_helps_as_often_as_it_mends_some_cause(knowledge, data):
    """Set by set: it fails to help where it mends none of the causes present."""
    view = data.draw(looked_at(knowledge)).view
    belief = view.thought.belief
    name = data.draw(st.sampled_from(sorted(knowledge.actions)), label="repair")
    works = {
        cause: knowledge.probability(entry.mended_by[name])
        for cause, entry in knowledge.causes.items()
        if name in entry.mended_by
    }
    names = np.array(belief.space.network.causes)
    helps, each = 0.0, dict.fromkeys(works, 0.0)
    for weight, members in zip(belief.weights, belief.space.members, strict=True):
        fails = 1.0
        for cause in names[members]:
            fails *= 1 - works.get(str(cause), 0.0)
            if cause in works:
                each[str(cause)] += weight * works[str(cause)]
        helps += weight * (1 - fails)
    if belief.space.chief is not None:  # one complaint, which one cause alone has brought
        gone = {cause: belief.mend({cause: p}).sound() for cause, p in works.items()}
        each = {cause: p - belief.sound() for cause, p in gone.items()}
        helps = belief.mend(works).sound() - belief.sound()

    aims = explain.aims(belief, knowledge, name)
    assert aims.any == pytest.approx(helps, abs=1e-9)
    shown = {cause: p for cause, p in each.items() if p > 1e-12}
    assert {c: p for c, p in aims.causes if p > 1e-12} == pytest.approx(shown, abs=1e-9)
    assert [p for _, p in aims.causes] == sorted((p for _, p in aims.causes), reverse=True)

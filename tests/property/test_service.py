"""A yearly service with any openings, any answers and any order: what holds in all of them."""

from hypothesis import given, settings
from hypothesis import strategies as st

from engine import safety
from engine.errors import SightportError
from engine.visit import events as happened
from engine.visit.opened import open_closing
from engine.visit.service import FOUND, LEFT, choosable, following, missing_as_left, plan, waiting
from engine.visit.state import fold
from engine.visit.taking import check_event
from engine.visit.view import look
from tests import strategies

KINDS = {"check": "checks", "action": "actions", "proof": "closing"}


@st.composite
def openings(draw, knowledge, who):
    """Any layers that this person may open, in any order."""
    able = choosable(knowledge, who)
    return tuple(draw(st.lists(st.sampled_from(able), unique=True)))


@st.composite
def services(draw, knowledge):
    """A service some way on: items taken in order or out of it, set aside, put off, undone."""
    who = draw(st.sampled_from(("technician", "technician_no_gas")), label="who")
    chosen = draw(openings(knowledge, who), label="openings")
    history = strategies.accepted(
        knowledge, [happened.Opened(who=who), happened.ServicePlanned(openings=chosen)]
    )
    assert len(history) == 2
    for _ in range(draw(st.integers(0, 12), label="items")):
        left = waiting(plan(knowledge, fold(knowledge, history)))
        if not left:
            break
        item = left[draw(st.integers(0, min(len(left) - 1, 25)))]
        history = strategies.accepted(knowledge, [draw(answers(knowledge, item))], history)
    return history


def answers(knowledge, item):
    """What may be entered for an item; danger signs have their own test."""
    moves = [st.just(happened.Postponed(step=item.id)), st.just(strategies.UNDO)]
    if item.kind == "check":
        fitting = [o for o, e in knowledge.checks[item.id].outcomes.items() if not e.danger]
        found = st.sampled_from(fitting).map(lambda o: happened.Found(check=item.id, outcome=o))
        moves += [found, found, found]
    elif item.kind == "action":
        moves.append(st.just(happened.ActionDone(action=item.id, cause=item.cause)))
    else:
        moves.append(st.just(strategies.proof(knowledge, item.id)))
    if item.kind != "proof":
        moves.append(st.just(happened.Skipped(step=item.id, reason="not here")))
    return st.one_of(moves)


@settings(max_examples=60)
@given(data=st.data())
def test_the_list_keeps_its_order_whatever_is_opened(knowledge, data):
    who = data.draw(st.sampled_from(("technician", "technician_no_gas")))
    chosen = data.draw(openings(knowledge, who))
    history = strategies.accepted(
        knowledge, [happened.Opened(who=who), happened.ServicePlanned(openings=chosen)]
    )
    items = plan(knowledge, fold(knowledge, history))

    opened = set()
    for item in items:
        layers = safety.opened_for(knowledge, KINDS[item.kind], item.id)
        if item.stage == FOUND:
            assert not any(knowledge.access[n].disturbs for n in layers)
        if item.stage != LEFT:
            opened |= set(layers)
            for layer in layers:
                assert set(knowledge.access[layer].needs) <= opened
    proofs = {item.id for item in items if item.kind == "proof"}
    for layer in opened:
        assert set(knowledge.access[layer].closing) <= proofs


@settings(max_examples=60)
@given(data=st.data())
def test_every_waiting_item_can_be_entered_and_is_for_this_person(knowledge, data):
    history = data.draw(services(knowledge), label="service")
    state = fold(knowledge, history)

    for item in waiting(plan(knowledge, state)):
        assert safety.allowed(knowledge, state.who, KINDS[item.kind], item.id)
        if item.kind == "action" and safety.needs_justification(knowledge, item.id):
            assert safety.justified(knowledge, item.id, item.cause, state.found())


@settings(max_examples=40)
@given(data=st.data())
def test_a_complaint_is_there_exactly_as_long_as_its_finding(knowledge, data):
    history = data.draw(services(knowledge), label="service")
    state = fold(knowledge, history)
    for each in state.raised:
        assert knowledge.checks[each.check].outcomes[each.outcome].raises == each.symptom
    everything = [n for n, e in history if isinstance(e, happened.Found | happened.Proved)]
    for number in reversed(everything):
        back = happened.TakenBack(event=number)
        history = (*history, (len(history) + 1, back))

    assert fold(knowledge, history).symptoms == ()


@settings(max_examples=30)
@given(data=st.data())
def test_no_service_ends_as_serviced_with_anything_open(knowledge, data):
    history = data.draw(services(knowledge), label="service")
    state = fold(knowledge, history)
    try:
        check_event(knowledge, history, happened.Closed(end="serviced_and_proven"))
    except SightportError:
        return
    assert not state.symptoms
    assert not open_closing(knowledge, state)
    assert not missing_as_left(knowledge, state)
    assert not [i for i in waiting(plan(knowledge, state)) if i.stage != LEFT]


@settings(max_examples=15)
@given(data=st.data())
def test_going_by_the_list_always_comes_to_its_end(knowledge, data):
    """Whatever was opened, answered or put off: the list, healthy from here on, runs out."""
    history = data.draw(services(knowledge), label="service")
    for _ in range(120):
        item = following(plan(knowledge, fold(knowledge, history)))
        if item is None:
            break
        if item.kind == "check":
            event = happened.Found(check=item.id, outcome=knowledge.checks[item.id].healthy)
        elif item.kind == "action":
            event = happened.ActionDone(action=item.id, cause=item.cause)
        else:
            event = strategies.proof(knowledge, item.id)
        check_event(knowledge, history, event)
        history = (*history, (len(history) + 1, event))

    state = fold(knowledge, history)
    assert not waiting(plan(knowledge, state))
    if state.who == "technician" and not state.symptoms:
        assert not open_closing(knowledge, state)
        assert look(knowledge, state).next is None

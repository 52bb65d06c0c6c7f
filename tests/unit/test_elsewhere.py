"""Two people in one visit: nothing is replaced that one of them has not seen."""

import threading

import pytest

from engine.errors import Overtaken
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.elsewhere import entered_since

CLEAN = happened.Found(check="flame_rod_seen", outcome="clean")
COATED = happened.Found(check="flame_rod_seen", outcome="coated")
SIGN = happened.SymptomReported(symptom="weak_flame_signal")


@pytest.fixture
def visit(after):
    """A visit of two entries."""
    return after(SIGN)


def test_an_answer_to_an_overtaken_screen_is_not_stored(store, knowledge, visit):
    keeping.record(store, knowledge, visit.id, COATED, seen=2)

    with pytest.raises(Overtaken, match="entered elsewhere"):
        keeping.record(store, knowledge, visit.id, CLEAN, seen=2)

    outcomes = [f.outcome for f in keeping.read(store, knowledge, visit.id).state.findings]
    assert outcomes == ["coated"]


def test_undo_takes_back_what_was_on_the_screen_or_nothing(store, knowledge, visit):
    keeping.record(store, knowledge, visit.id, COATED)

    with pytest.raises(Overtaken):
        keeping.undo(store, knowledge, visit.id, seen=2)
    assert len(store.events(visit.id)) == 3
    assert keeping.undo(store, knowledge, visit.id, seen=3)


def test_of_many_who_answer_at_once_one_is_first(store, visit):
    numbers, refused = [], []

    def answer(who):
        try:
            numbers.append(store.append(visit.id, {"kind": "noted", "text": who}, after=2))
        except Overtaken:
            refused.append(who)

    people = [threading.Thread(target=answer, args=(str(n),)) for n in range(8)]
    for person in people:
        person.start()
    for person in people:
        person.join()

    assert numbers == [3]
    assert len(refused) == 7
    assert len(store.events(visit.id)) == 3


@pytest.mark.parametrize(
    ("event", "waits"),
    [
        (COATED, True),
        (happened.ActionDone(action="clean_flame_rod"), True),
        (happened.TakenBack(event=2), True),
        (happened.Closed(end="no_listed_cause"), True),
        (happened.FactStated(fact="fuel", value="propane"), True),
        (happened.Noted(text="x"), False),
        (happened.SymptomReported(symptom="gas_smell"), False),
    ],
)
def test_what_replaces_nothing_does_not_wait(knowledge, event, waits):
    assert keeping.only_if_seen(knowledge, event) is waits


def test_a_danger_sign_never_waits(knowledge):
    dangers = [
        (name, outcome)
        for name, check in knowledge.checks.items()
        for outcome, entry in check.outcomes.items()
        if entry.danger
    ]
    assert dangers
    for check, outcome in dangers:
        event = happened.Found(check=check, outcome=outcome)
        assert not keeping.only_if_seen(knowledge, event)


def test_what_was_entered_elsewhere_is_told_without_ones_own(store, knowledge, visit):
    for event in (happened.Noted(text="mine"), COATED, happened.TakenBack(event=4)):
        keeping.record(store, knowledge, visit.id, event)
    keeping.record(store, knowledge, visit.id, CLEAN)
    now = keeping.read(store, knowledge, visit.id)

    lines = entered_since(knowledge, now, 2, mine={3})

    name = knowledge.checks["flame_rod_seen"].name
    says = knowledge.checks["flame_rod_seen"].outcomes["clean"].says
    assert lines == (f"Found: {name}: {says}", "Taken back: entry 4")
    assert entered_since(knowledge, now, 6) == ()

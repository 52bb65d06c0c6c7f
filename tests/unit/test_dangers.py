"""A danger sign made safe: who may go on from it, without what, and what it takes to end mended."""

import pytest

from engine.errors import NotAllowed, UnreadableValue
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.chart_words import to_begin
from engine.visit.opened import prevented
from engine.visit.state import fold
from engine.visit.steps import by_turn, taken
from engine.visit.told import danger_entry, told

FIRING = {"firing_low", "firing_high", "normal_running"}
OVER = happened.Found(check="co_high_fire", outcome="over_limit")
ALARM = happened.SymptomReported(symptom="hard_light_off")


@pytest.fixture
def enter(store, knowledge):
    def begin(*events, who="technician"):
        number = keeping.begin(store, knowledge, who, "cellar")
        for event in (happened.SymptomReported(symptom="co_too_high"), *events):
            keeping.record(store, knowledge, number, event)
        return number

    return begin


@pytest.fixture
def go_on(store, knowledge):
    """Make safe what stops a visit; the visit as it stands."""

    def go_on(number, words="cock tagged, room 0 ppm"):
        entry = danger_entry(knowledge, keeping.read(store, knowledge, number))
        event = happened.MadeSafe(event=entry.number, words=words)
        keeping.record(store, knowledge, number, event)
        return keeping.read(store, knowledge, number)

    return go_on


def test_a_licensed_technician_goes_on_and_nothing_fires(enter, go_on, knowledge):
    visit = go_on(enter(OVER))

    assert visit.state.danger is None
    assert visit.view.status in ("ask", "act")
    assert prevented(knowledge, visit.state) >= FIRING
    offered = {option.name for option in visit.view.ranking if option.kind == "check"}
    assert offered
    for name in offered:
        assert not FIRING & set(knowledge.checks[name].access), name


DOOR = "door_gasket_seen"
"""A check behind many layers, each with cautions of its own."""


def test_after_a_danger_made_safe_cautions_are_sorted_by_their_turn_and_none_is_lost(
    enter, go_on, knowledge
):
    visit = go_on(enter(OVER))
    step = taken(knowledge, visit, "check", DOOR)
    first, later = by_turn(knowledge, visit.state, step)

    assert sorted((*first, *later)) == sorted(step.cautions)
    assert len(later) > 1
    by_words = {entry.says: entry for entry in knowledge.cautions.values()}
    own = {knowledge.cautions[name].says for name in knowledge.checks[DOOR].cautions}
    opened_first = knowledge.access[step.to_open[0]].cautions
    assert own | {knowledge.cautions[name].says for name in opened_first} <= set(first)
    assert not {by_words[text].hazard for text in later} & {"gas", "flue_gas"}


def test_without_a_danger_every_caution_is_read_at_once(store, enter, knowledge):
    visit = keeping.read(store, knowledge, enter())
    step = taken(knowledge, visit, "check", DOOR)

    assert by_turn(knowledge, visit.state, step) == (step.cautions, ())


def test_the_words_that_end_a_call_are_not_said_once_it_was_made_safe(enter, go_on, knowledge):
    ends_the_call = knowledge.symptoms["co_alarm"].first_words
    visit = go_on(enter(happened.SymptomReported(symptom="co_alarm")))
    lines = to_begin(knowledge, visit.state)

    assert ends_the_call
    assert ends_the_call not in lines
    assert set(knowledge.symptoms["co_alarm"].do_not) <= set(lines)
    assert knowledge.symptoms["co_too_high"].first_words in lines


@pytest.mark.parametrize("who", ["caller", "technician_no_gas"])
def test_nobody_else_goes_on(enter, store, knowledge, who):
    number = enter(ALARM, who=who)
    sign = danger_entry(knowledge, keeping.read(store, knowledge, number)).number

    with pytest.raises(NotAllowed, match="ends the visit for this person"):
        keeping.record(store, knowledge, number, happened.MadeSafe(event=sign, words="it is off"))


def test_it_takes_words(enter, store, knowledge):
    number = enter(OVER)
    sign = danger_entry(knowledge, keeping.read(store, knowledge, number)).number

    with pytest.raises(UnreadableValue, match="write down what you measured"):
        keeping.record(store, knowledge, number, happened.MadeSafe(event=sign, words=" "))


def test_it_takes_a_danger_sign(enter, store, knowledge):
    with pytest.raises(NotAllowed, match="no danger sign stands"):
        keeping.record(store, knowledge, enter(), happened.MadeSafe(event=1, words="all well"))
    with pytest.raises(NotAllowed, match="event 1 is no danger sign"):
        keeping.record(store, knowledge, enter(OVER), happened.MadeSafe(event=1, words="all well"))


def test_the_same_danger_found_again_stops_again(enter, go_on, store, knowledge):
    number = enter(OVER)
    go_on(number)
    keeping.record(store, knowledge, number, OVER)

    assert keeping.read(store, knowledge, number).state.danger


def test_the_same_sign_reported_again_stops_again(enter, go_on, store, knowledge):
    number = enter(ALARM)
    go_on(number)
    keeping.record(store, knowledge, number, ALARM)

    assert keeping.read(store, knowledge, number).state.danger


def test_two_signs_are_made_safe_one_by_one(enter, go_on, store, knowledge):
    number = enter(ALARM)
    go_on(number)
    leak = happened.Found(check="gas_joint_leak_test", outcome="leaks")
    keeping.record(store, knowledge, number, leak)
    assert keeping.read(store, knowledge, number).state.danger[0].endswith("A joint leaks")

    assert go_on(number).state.danger is None


def passing(*more):
    events = [
        happened.Opened(who="technician"),
        happened.SymptomReported(symptom="locks_out_no_flame"),
        happened.Found(check="valve_let_by", outcome="passes"),
        happened.MadeSafe(event=3, words="tagged"),
        *more,
    ]
    return list(enumerate(events, 1))


def test_only_a_repair_that_answers_it_lets_it_fire_again(knowledge):
    other = happened.ActionDone(action="replace_flame_rod")
    right = happened.ActionDone(action="replace_gas_valve")

    assert prevented(knowledge, fold(knowledge, passing())) >= FIRING
    assert prevented(knowledge, fold(knowledge, passing(other))) >= FIRING
    assert not FIRING & prevented(knowledge, fold(knowledge, passing(right)))


def test_a_later_look_that_comes_out_well_answers_it(knowledge):
    well = happened.Found(check="valve_let_by", outcome="tight")
    state = fold(knowledge, passing(well, happened.ActionDone(action="replace_flame_rod")))

    assert not FIRING & prevented(knowledge, state)


def test_no_end_leaves_it_in_use_before_it_is_mended(enter, go_on, store, knowledge):
    number = enter(OVER)
    go_on(number)

    with pytest.raises(NotAllowed, match="made safe, and not mended yet: Measure CO at high fire"):
        keeping.record(store, knowledge, number, happened.Closed(end="no_listed_cause"))
    keeping.record(store, knowledge, number, happened.Closed(end="stopped_for_danger"))
    assert keeping.read(store, knowledge, number).state.end == "stopped_for_danger"


def test_taking_it_back_brings_the_stop_back(enter, go_on, store, knowledge):
    number = enter(OVER)
    visit = go_on(number)
    entry = next(e for e in told(knowledge, visit) if e.kind == "Made safe")
    assert "cock tagged, room 0 ppm" in entry.text

    keeping.record(store, knowledge, number, happened.TakenBack(event=entry.number))
    assert keeping.read(store, knowledge, number).state.danger


def test_every_danger_that_can_be_made_safe_keeps_the_burner_out(knowledge):
    signs = [s for s in knowledge.symptoms.values() if s.danger]
    signs += [o for c in knowledge.checks.values() for o in c.outcomes.values() if o.danger]

    assert signs
    for sign in signs:
        assert sign.danger.made_safe
        assert set(sign.prevents) >= FIRING, sign


def test_a_clean_room_says_nothing_of_whether_it_fires(knowledge):
    history = [
        happened.Opened(who="technician"),
        happened.SymptomReported(symptom="locks_out_no_flame"),
        happened.Found(check="room_co", outcome="as_outdoors"),
    ]

    assert prevented(knowledge, fold(knowledge, list(enumerate(history, 1)))) >= FIRING


def test_what_is_confirmed_belongs_to_the_sign_that_is_made_safe(enter, go_on, store, knowledge):
    """With the first making safe taken back, two signs stand, and the first is spoken of."""
    number = enter(ALARM)
    first = go_on(number).history[-1][0]
    leak = happened.Found(check="gas_joint_leak_test", outcome="leaks")
    found = keeping.record(store, knowledge, number, leak)
    keeping.record(store, knowledge, number, happened.TakenBack(event=first))

    visit = keeping.read(store, knowledge, number)
    assert danger_entry(knowledge, visit).text == visit.state.danger[0]
    with pytest.raises(NotAllowed, match="stands first; make that safe"):
        keeping.record(store, knowledge, number, happened.MadeSafe(event=found, words="tagged"))

"""The clock of a step: what its moves say, and where the seconds go."""

import re

import pytest

from engine import units
from engine.visit import events as happened
from engine.visit.timing import timer

NUMBERS = {
    "a": 1, "another": 1, "one": 1, "two": 2, "three": 3, "five": 5, "ten": 10, "fifteen": 15,
    "30": 30,
}  # fmt: skip
SAID = (
    r"\b(a|another|one|two|three|five|ten|fifteen|30)( more)? (seconds?|minutes?)\b"
    r"|half (?:an hour|a minute)|a quarter of an hour"
)
WORDS = {"half an hour": 1800.0, "half a minute": 30.0, "a quarter of an hour": 900.0}


def said_in(entry):
    """Seconds of every wait that the moves of an entry, its name or its question speak of."""
    text = " ".join((entry.name, getattr(entry, "asks", ""), *entry.how)).lower()
    found = set()
    for match in re.finditer(SAID, text):
        if match.group() in WORDS:
            found.add(WORDS[match.group()])
        else:
            found.add(NUMBERS[match.group(1)] * (60.0 if match.group(3)[0] == "m" else 1.0))
    return found


def test_every_wait_is_one_that_the_moves_speak_of(knowledge):
    entries = [*knowledge.checks.items(), *knowledge.closing.items()]
    waiting = {name: entry for name, entry in entries if entry.waits}
    assert len(waiting) > 40

    for name, entry in waiting.items():
        waits = {units.parse(text, "duration") for text in entry.waits}
        assert waits <= said_in(entry), name


def test_what_is_to_be_waited_out_has_a_clock(knowledge):
    """Moves that name a time to wait, hold, run, watch or stay; a glance or a limit is none."""
    waits = re.compile(r"\b(wait|hold|stay|watch|let|run|fire)\b[^.;]*\b(minutes?|hour)\b", re.I)
    without = {
        name
        for name, check in knowledge.checks.items()
        for move in check.how
        if waits.search(move) and said_in(check) and not (check.waits or check.times)
    }

    assert without == set()


def test_a_stopwatch_stands_wherever_seconds_are_asked_for(knowledge):
    asked = {
        name
        for name, check in knowledge.checks.items()
        if check.reading
        and any(field.quantity == "duration" for field in check.reading.fields.values())
    }

    assert asked
    for name in asked:
        clock = timer(knowledge, 1, (), "check", name)
        assert clock.stopwatch
        assert knowledge.checks[name].reading.fields[clock.fills].instrument == "stopwatch"


def test_a_clock_begins_anew_when_the_step_is_made_again_and_not_before(knowledge):
    step = "gas_input_clocked"
    opened = (1, happened.Opened(who="technician"))
    other = (2, happened.Found(check="flame_rod_seen", outcome="clean"))
    made = (3, happened.Found(check=step, outcome="on_rate"))

    keys = [
        timer(knowledge, 4, history, "check", step).key
        for history in ((opened,), (opened, other), (opened, other, made))
    ]

    assert keys == ["4.gas_input_clocked.0", "4.gas_input_clocked.0", "4.gas_input_clocked.1"]


@pytest.mark.parametrize(
    ("kind", "step", "waits"),
    [
        ("proof", "runs_on", (("10 min", 600.0),)),
        ("proof", "combustion_low_fire", (("5 min", 300.0),)),  # those of its check
        ("check", "mixture_over_time", (("15 min", 900.0),)),
    ],
)
def test_closing_steps_have_a_clock_too(knowledge, kind, step, waits):
    assert timer(knowledge, 1, (), kind, step).waits == waits


@pytest.mark.parametrize(
    ("kind", "step"),
    [("check", "flame_rod_seen"), ("action", "clean_flame_rod"), ("refer", "refer"),
     ("proof", "new_flame_rod_gasket")],
)  # fmt: skip
def test_where_nothing_is_timed_there_is_no_clock(knowledge, kind, step):
    assert timer(knowledge, 1, (), kind, step) is None

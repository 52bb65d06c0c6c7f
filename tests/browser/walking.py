"""Through a visit on the screen: each step is read there, and a simulated boiler answers it."""

from engine.knowledge import Knowledge
from engine.knowledge.before import gives_verdict
from engine.visit import rehearsal
from tests.browser.person import Person

MOST_STEPS = 60
"""A visit that is longer goes in circles."""


def boiler_with(knowledge: Knowledge, complaint: str, cause: str) -> rehearsal.Boiler:
    """An invented boiler with one cause in it."""
    facts = rehearsal.facts_for(knowledge, cause)
    network = rehearsal.every_cause(knowledge, complaint, facts)
    return rehearsal.Boiler(knowledge, network, "story", {cause}, cause)


def begins(person: Person, knowledge: Knowledge, who: str, complaint: str) -> None:
    """From the first page to the first step: no danger, one complaint, a boiler not known."""
    symptom = knowledge.symptoms[complaint]
    person.opens()
    person.chooses(who)
    person.presses("None of these")
    person.writes("What does the boiler do?", symptom.caller_says[0])
    person.presses(symptom.name)
    person.presses("Start")
    person.is_on("visit")


def walk(person: Person, boiler: rehearsal.Boiler, steps: int = 0) -> None:
    """Follow the advice until no step is asked for any more, or for so many steps."""
    named = _by_name(boiler.known)
    repairs = 0
    for _ in range(steps or MOST_STEPS):
        if person.step not in named:
            return
        kind, name = named[person.step]
        if kind == "check":
            person.answers(boiler.known.checks[name], boiler.answer(name, repairs))
        elif kind == "action":
            repairs += 1
            boiler.mend(name)
            person.presses("Done")
        else:
            _prove(person, boiler, name, repairs)
    if not steps:
        raise AssertionError(f"no end after {MOST_STEPS} steps, now at {person.step!r}")


def _prove(person, boiler, name, repairs) -> None:
    entry = boiler.known.closing[name]
    if entry.check:
        person.answers(boiler.known.checks[entry.check], entry.passes[0])
        return
    holds = boiler.starts_cleanly(repairs) if gives_verdict(boiler.known, name) else True
    person.writes("What you saw", "as it should be")
    person.presses("It holds" if holds else "It does not hold")


def _by_name(knowledge) -> dict[str, tuple[str, str]]:
    """What a heading is of: the kind and the id of the step."""
    kinds = {"check": knowledge.checks, "action": knowledge.actions, "proof": knowledge.closing}
    return {e.name: (kind, n) for kind, entries in kinds.items() for n, e in entries.items()}

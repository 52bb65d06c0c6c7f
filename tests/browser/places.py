"""Every kind of screen of the app, and how a person gets there."""

from collections.abc import Callable

from engine.visit import events as happened
from tests.browser.person import Person

TECHNICIAN = "Technician with a gas licence"
WEAK = "flame_lost_after_lighting"


def _complaint(person: Person, _begun) -> None:
    person.opens()
    person.chooses(TECHNICIAN)
    person.presses("None of these")
    person.writes("What does the boiler do?", "lights and goes out again")


def _boiler(person: Person, begun) -> None:
    _complaint(person, begun)
    person.presses("Flame lights and is lost")
    person.sees("The boiler")


def _at(path: str, *events, step: str = "") -> Callable:
    def goes(person: Person, begun) -> None:
        visit = begun(*events)
        person.opens(f"{path}?visit={visit}" + (f"&step={step}" if step else ""))

    return goes


def _choices(person: Person, begun) -> None:
    _at("visit", happened.Suspected(cause="flame_rod_coated"), step="check.start_sequence")(
        person, begun
    )
    for drawer in ("Why this", "Other steps", "Write a note", "Hand over to somebody else"):
        person.unfolds(drawer)


def _end(person: Person, begun) -> None:
    _at(
        "end",
        happened.Found(check="flame_rod_seen", outcome="coated"),
        happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated"),
    )(person, begun)


def _visits(person: Person, begun) -> None:
    begun()
    person.opens("visits")


def _boiler_card(person: Person, begun) -> None:
    visit = begun(
        happened.Found(check="flame_current", values={"current": "5.2 uA"}),
        happened.Found(check="flame_rod_seen", outcome="coated"),
        happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated"),
        happened.Found(check="flame_current", values={"current": "3.1 uA"}),
    )
    person.opens(f"end?visit={visit}")
    person.unfolds("Keep this boiler in the records")
    person.writes("Its name", "Cellar boiler")
    person.presses("Keep it")
    person.opens("boilers")
    person.presses("Open its card")


def _call(person: Person, _begun) -> None:
    person.opens("desk")
    person.presses("New call")


PLACES: dict[str, Callable[[Person, Callable], None]] = {
    "start": lambda person, _: person.opens(),
    "complaint": _complaint,
    "boiler": _boiler,
    "step with choices": _choices,
    "step with a number": _at("visit", step="check.inlet_gas_pressure_running"),
    "repair": _at("visit", happened.Found(check="flame_rod_seen", outcome="coated")),
    "danger stop": _at("visit", happened.SymptomReported(symptom="gas_smell")),
    "end": _end,
    "visits": _visits,
    "readings": lambda person, _: person.opens("readings"),
    "fault paths": lambda person, _: person.opens("paths"),
    "instruments": lambda person, _: person.opens("instruments"),
    "boilers": lambda person, _: person.opens("boilers"),
    "boiler's card": _boiler_card,
    "settings": lambda person, _: person.opens("settings"),
    "phone desk": lambda person, _: person.opens("desk"),
    "new call": _call,
    "replay": _at("replay", happened.Found(check="flame_rod_seen", outcome="coated")),
    "review": lambda person, _: person.opens("review"),
}
"""Name of a screen -> how a person, given a way to begin visits, comes to it."""

"""What can be written in a terminal at any step, and the talks that are not about a step."""

from engine.readings.accuracy_words import whose_accuracy
from engine.visit import events as happened
from engine.visit import kit, steps
from engine.visit.service import EXTENT_WORDS, openings_of, waiting
from engine.visit.steps import Offer
from engine.visit.told import danger_entry

HELP = (
    "undo            take the last entry back",
    "skip REASON     this step cannot be done here",
    "other [STEP]    do another step: choose from the list, or name it",
    "why             what this step is for, and what each answer would lead to",
    "found           everything entered so far; 'undo NUMBER' takes one of it back",
    "instrument      how accurate your own instrument is, if you know",
    "note TEXT       write something down",
    "safe TEXT       a danger sign was made safe: what you measured and did",
    "end             close the visit",
    "quit            leave; the visit is kept and goes on with its number",
)
COMMANDS = ("undo", "skip", "other", "why", "found", "instrument", "note", "safe", "end", "help")


def state_instrument(talk, visit, named: str) -> bool:
    """Ask for one instrument, for this visit and those to come; whether it was stored."""
    known = talk.knowledge
    lines = {n: whose_accuracy(known, visit.state.instruments, [n]) for n in known.instruments}
    name = named or talk.pick("Which one? Enter for none: ", lines)
    if name is None:
        return False
    if name not in lines:
        talk.say(f"There is no instrument {name!r}; 'instrument' alone lists them.")
        return False
    talk.say("Enter at both: typical of its class.")
    share = talk.ask("Share of the reading [%]: ")
    least = talk.ask(f"But at least [{kit.unit_for(known, name)}]: ")
    of_reading, at_least = kit.typed(known, name, share, least)
    stated = {"instrument": name, "of_reading": of_reading, "at_least": at_least}
    if not talk.record(happened.InstrumentStated, **stated):
        return False
    if talk.ask("For the visits to come as well? yes, or Enter for this one only: ") == "yes":
        kit.remember(talk.store, known, **stated)
    return True


def make_safe(talk, visit, words: str) -> bool:
    """Go on after a danger sign that was made safe; whether it was stored."""
    entry = danger_entry(talk.knowledge, visit)
    return talk.record(happened.MadeSafe, event=entry.number if entry else 0, words=words)


def plan_service(talk) -> bool:
    """Ask how far a yearly service goes; whether one was planned."""
    extent = talk.pick("How far does it go? Enter for no service: ", EXTENT_WORDS)
    if extent is None:
        return False
    openings = openings_of(talk.knowledge, talk.read().state.who, extent)
    return talk.record(happened.ServicePlanned, openings=openings)


def offered(talk, visit) -> tuple[Offer, ...]:
    """What is left of a service, then the other steps, best first."""
    listed = [
        Offer(item.kind, item.id, item.name, item.minutes, cause=item.cause)
        for item in waiting(visit.view.service)
    ]
    mine = {(offer.kind, offer.id) for offer in listed}
    ranked = steps.ranked(talk.knowledge, visit)
    return (*listed, *(offer for offer in ranked if (offer.kind, offer.id) not in mine))


def by_number(typed: str, names: list[str]) -> str | None:
    """The name of that number in the list, or of that id; None for neither."""
    if typed in names:
        return typed
    place = number_of(typed)
    return names[place - 1] if place and place <= len(names) else None


def number_of(typed: str) -> int | None:
    """A whole number of reasonable length, or None."""
    return int(typed) if typed.isdecimal() and len(typed) < 9 else None

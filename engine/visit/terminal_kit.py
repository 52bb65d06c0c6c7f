"""The accuracy of one's own instrument, asked for in a terminal."""

from engine.readings.accuracy_words import whose_accuracy
from engine.visit import events as happened
from engine.visit import kit


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

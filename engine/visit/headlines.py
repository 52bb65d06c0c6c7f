"""The one sentence above a visit: what to do now, or how it stands."""

from engine.knowledge import Knowledge
from engine.visit.proving import waits_for_somebody
from engine.visit.state import State

FITS_NOTHING = 0.5
"""From this probability of an unlisted cause on, the tool says that nothing fits. Judgement."""

AS_GOOD_AS_FOUND = 0.85
"""A cause so likely is named where the visit is to be referred all the same. Judgement."""


def headline(knowledge: Knowledge, state: State, status, following, unlisted, suspects) -> str:
    """Where a visit with a complaint stands."""
    if status == "closed":
        return "The visit is closed"
    if following is None:
        return "Everything is proven. Close the visit."
    if unlisted >= FITS_NOTHING and status == "refer":
        return "What was found fits no listed cause. Stop guessing: make safe and refer."
    if status == "refer" and state.done and waits_for_somebody(knowledge, state):
        return "It waits for somebody else. Make safe and refer, or prove it once that is done."
    if status == "refer" and state.who == "caller":
        return "Book a visit. What is known goes with it."
    if status == "refer" and _found(knowledge, state, suspects):
        return f"{suspects[0].name}: make safe, and settle the repair with the owner"
    if following.before:
        return f"{following.name}, before this: {knowledge.actions[following.before].name}"
    if following.kind == "action" and following.cause:
        aim = knowledge.causes[following.cause].name
        if following.cause == suspects[0].cause:
            return f"{aim}: {following.name}"
        return f"{following.name}, in case it is: {aim}"
    return following.name


def _found(knowledge, state, suspects) -> bool:
    """Whether the first suspect is as good as found and none of its repairs has been tried: then
    its repair costs more than handing it over, and that is not the technician's to decide."""
    if not suspects or suspects[0].probability < AS_GOOD_AS_FOUND:
        return False
    done = {each.action for each in state.done}
    return not done & knowledge.causes[suspects[0].cause].mended_by.keys()


def headline_of_service(state: State, step, still_open) -> str:
    """Where a service without a complaint stands."""
    if state.end:
        return "The visit is closed"
    if step:
        return step.name
    if still_open:
        return "What is left of the service is for somebody else: hand it over, or refer."
    return "Nothing is left on the list. End the visit."

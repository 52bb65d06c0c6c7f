"""How a visit may end, as it stands."""

from engine import safety
from engine.errors import NotAllowed, UnreadableValue
from engine.knowledge import Knowledge
from engine.visit.dangers import name_of, unanswered
from engine.visit.events import ENDS, Closed
from engine.visit.opened import open_closing, to_put_back
from engine.visit.service import LEFT, missing_as_left, plan, waiting
from engine.visit.state import State

USED_AGAIN = ("mended_and_proven", "no_listed_cause", "serviced_and_proven")
"""The ends that leave the boiler to be used again."""

NAMED = 4
"""So many steps are named in a refusal; of more the number is said."""


def ends_of(state: State) -> dict[str, str]:
    """The ends that a visit of this kind can have, with their words."""
    return {
        name: words
        for name, words in ENDS.items()
        if name != "serviced_and_proven" or state.service is not None
    }


def check_end(known: Knowledge, state: State, event: Closed) -> None:
    """Refuse an end that is not true of the visit as it stands.

    Raises
    ------
    NotAllowed
        With what is missing for it.
    UnreadableValue
        Where words are missing.
    """
    if event.end == "stopped_for_danger" and not (state.danger or state.made_safe):
        raise NotAllowed(
            "no danger sign was reported or found; enter it first, or choose another end"
        )
    if state.danger and event.end not in ("stopped_for_danger", "made_safe_and_referred"):
        raise NotAllowed("a danger sign stands: the visit ends stopped or referred")
    waiting = [name_of(known, sign) for sign in unanswered(known, state)]
    if waiting and event.end in USED_AGAIN:
        raise NotAllowed(
            f"made safe, and not mended yet: {'; '.join(waiting)}. Mend it, or end the visit as "
            "made safe and referred"
        )
    if event.end == "mended_and_proven" and not state.done:
        raise NotAllowed("no repair was entered, so nothing can be called mended; enter it first")
    if event.end == "serviced_and_proven":
        _check_serviced(known, state)
    elif event.end in USED_AGAIN and state.service is not None and not state.symptoms:
        raise NotAllowed("nobody complained and nothing was found; end it as a service")
    if event.end in USED_AGAIN:
        missing = open_closing(known, state)
        if missing:
            names = ", ".join(f"'{known.closing[name].name}'" for name in missing)
            raise NotAllowed(f"not proven yet: {names}")
        unread = [known.checks[name].name for name in missing_as_left(known, state)]
        if unread:
            raise NotAllowed(f"read as found, and not as left yet: {_listed(unread)}")
    if event.end == "made_safe_and_referred" and not event.words.strip():
        raise UnreadableValue("write to whom it was referred, and in what state it was left")
    if event.end == "made_safe_and_referred" and not state.danger:
        open_still = [
            known.closing[name].name
            for name in to_put_back(known, state)
            if safety.may_prove(known, state.who, name)
        ]
        if open_still:
            names = ", ".join(f"'{name}'" for name in open_still)
            raise NotAllowed(
                f"not made safe yet: {names}; do it under 'Other steps', or enter there that it "
                "does not hold, and what was done instead"
            )


def _check_serviced(known, state) -> None:
    if state.service is None:
        raise NotAllowed("no service was planned; plan one, or choose another end")
    if state.symptoms:
        names = ", ".join(f"'{known.symptoms[name].name}'" for name in state.symptoms)
        raise NotAllowed(
            f"it was more than a service: {names}. Mend it, or end it as no listed cause or "
            "made safe and referred"
        )
    if not state.answers:
        raise NotAllowed("nothing was looked at or measured; work through the list first")
    left = [item.name for item in waiting(plan(known, state)) if item.stage != LEFT]
    if left:
        raise NotAllowed(
            f"still on the list: {_listed(left)}; do it, or set it aside with a reason"
        )


def _listed(names) -> str:
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(f"'{name}'" for name in names[:NAMED]) + more

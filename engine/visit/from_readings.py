"""The values of a sheet of readings taken over into a visit."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from pydantic import ValidationError

from engine import safety, units
from engine.errors import Implausible, SightportError
from engine.knowledge import Knowledge
from engine.readings.handing import Handed
from engine.records import Store
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.findings import interpret
from engine.visit.opened import open_closing
from engine.visit.overview import OPEN, Past, overview
from engine.visit.state import State


@dataclass(frozen=True)
class Result:
    """What became of the values for one check.

    `event` is the number of the stored event, None where nothing was stored: then either
    `question` asks whether an odd value is right, or `refusal` says why it cannot be taken.
    """

    check: str
    name: str
    event: int | None = None
    question: str = ""
    refusal: str = ""


def hand_over(
    store: Store,
    known: Knowledge,
    visit_id: int,
    handed: Iterable[Handed],
    sure: Collection[str] = (),
) -> tuple[Result, ...]:
    """Enter values into a visit, each check for itself: a refused one does not hold up the others.

    Parameters
    ----------
    handed : iterable of Handed
        Checks with their values.
    sure : collection of str
        Checks whose odd values were asked about and are right.

    Returns
    -------
    tuple of Result
        In the order of `handed`. What is dangerous is entered last, since it ends the visit, and
        what was read in the same minute should stand in it.

    Raises
    ------
    UnknownVisit, NotAllowed
        If there is no such visit, or this knowledge cannot read it.
    """
    handed = tuple(handed)
    state = keeping.read(store, known, visit_id).state
    results = {
        one.check: _enter(
            store, known, visit_id, one, one.check in sure, _proves(known, state, one)
        )
        for one in sorted(handed, key=lambda one: _dangerous(known, state, one))
    }
    return tuple(results[one.check] for one in handed)


def standing(visit: keeping.Visit, one: Handed) -> bool:
    """Whether these very values stand in the visit for this check, on the boiler as it is now."""
    finding = visit.state.current().get(one.check)
    return finding is not None and dict(finding.typed) == dict(one.values)


def open_visits(store: Store, known: Knowledge) -> tuple[Past, ...]:
    """The visits that can be gone on with, latest first."""
    return tuple(visit for visit in overview(store, known) if visit.stands == OPEN)


def _proves(known: Knowledge, state: State, one: Handed) -> str | None:
    """The closing step that waits for this check's reading since a repair; None without one."""
    if not state.done:
        return None
    return next(
        (
            name
            for name in open_closing(known, state)
            if known.closing[name].check == one.check and safety.may_prove(known, state.who, name)
        ),
        None,
    )


def _enter(store, known, visit_id, one, sure, closing) -> Result:
    given = {"values": dict(one.values), "sure": sure}
    try:
        if closing:  # the same reading is not asked for again as a proof
            event = happened.Proved(closing=closing, **given)
        else:
            event = happened.Found(check=one.check, **given)
        number = keeping.record(store, known, visit_id, event)
    except Implausible as error:
        return Result(one.check, one.name, question=str(error))
    except SightportError as error:
        return Result(one.check, one.name, refusal=str(error))
    except ValidationError:
        longest = f"a value is longer than {units.LONGEST} characters; write number and unit"
        return Result(one.check, one.name, refusal=longest)
    return Result(one.check, one.name, event=number)


def _dangerous(known: Knowledge, state: State, one: Handed) -> bool:
    """Whether the values by themselves mean danger; what cannot be read means nothing."""
    try:
        found = interpret(known, state, happened.Found(check=one.check, values=one.values), None)
    except (SightportError, ValidationError):
        return False
    if found.outcome is None:
        return False
    return known.checks[one.check].outcomes[found.outcome].danger is not None

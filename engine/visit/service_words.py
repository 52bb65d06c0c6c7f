"""A service in words: what was opened, what a finding brought, what was left out, the figures."""

from dataclasses import dataclass

from engine.knowledge import Knowledge
from engine.visit.keeping import Visit
from engine.visit.service import (
    ASIDE,
    BLOCKED,
    FOUND,
    LOST,
    OPEN,
    OTHERS,
    WAITING,
    Item,
    figures,
    waiting,
    with_needs,
)
from engine.visit.told import answer_words
from engine.visit.view import Next

NO_COMPLAINT = "Yearly service, no complaint"
NOTHING_WRONG = "No complaint, and none came up."


@dataclass(frozen=True)
class Compared:
    """A check made twice: as found or before a repair, and as left or after it."""

    name: str
    before: str
    after: str


def opened_words(known: Knowledge, openings) -> str:
    """The layers of a service with all that comes before them, in order."""
    names = [known.access[name].name for name in with_needs(known, openings)]
    return "; ".join(names) if names else "nothing"  # a name may hold commas


def raised_words(known: Knowledge, visit: Visit) -> tuple[str, ...]:
    """Each complaint that a finding brought, with the finding."""
    lines = []
    for each in visit.state.raised:
        check = known.checks[each.check]
        says = check.outcomes[each.outcome].says
        lines.append(f"{known.symptoms[each.symptom].name} (by: {check.name}, '{says}')")
    return tuple(lines)


def line(item: Item) -> str:
    """An item of the list on one line."""
    minutes = f" ({round(item.minutes)} min)" if item.stands in WAITING else ""
    said = [item.stands] * (item.stands != OPEN) + [item.why] * bool(item.why)
    return f"{item.name}{minutes}" + (f": {', '.join(said)}" if said else "")


def left_words(items: tuple[Item, ...]) -> str:
    """How much of the list is left."""
    left = waiting(items)
    if not left:
        return "Nothing is left on the list."
    minutes = round(sum(item.minutes for item in left))
    return f"{len(left)} of {len(items)} left, about {minutes} minutes of hands."


def lost_by(known: Knowledge, visit: Visit, step: Next) -> tuple[str, ...]:
    """Readings as found that a step takes away, because it opens what keeps the boiler from
    running or changes how it burns."""
    opens = [known.access[name] for name in step.to_open]
    if visit.state.touches or not (step.kind == "action" or any(a.disturbs for a in opens)):
        return ()
    return tuple(
        item.name
        for item in visit.view.service
        if item.kind == "check"
        and item.stage == FOUND
        and item.stands in WAITING
        and known.checks[item.id].yearly == "before_and_after"
    )


def left_out(visit: Visit) -> tuple[str, ...]:
    """What of the list was not done, and why."""
    words = (line(i) for i in visit.view.service if i.stands in (ASIDE, LOST, BLOCKED, OTHERS))
    return tuple(dict.fromkeys(words))


def compared(known: Knowledge, visit: Visit) -> tuple[Compared, ...]:
    """Every check made as found and again as left."""
    return tuple(
        Compared(
            known.checks[each.check].name,
            answer_words(known, visit, each.found),
            answer_words(known, visit, each.left),
        )
        for each in figures(known, visit.state)
        if each.left
    )

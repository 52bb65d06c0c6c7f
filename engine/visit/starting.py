"""A visit begun with everything that was said at the door, or not begun at all."""

from collections.abc import Iterable, Mapping

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.knowledge.facts import circumstances, fact_from_text
from engine.records import Store
from engine.visit import events as happened
from engine.visit.keeping import begin, record
from engine.visit.taking import check_event

MAIN_FACTS = ("fuel", "rated_input", "altitude", "boiler_age", "vent_type", "ratio_control")
"""What is asked of every boiler at the start; the rest only where somebody has it at hand."""


def brought_along(known: Knowledge, facts: Mapping[str, str], stated: Iterable[str]) -> list[str]:
    """Names of the circumstances that typed facts bring along beside those stated.

    What cannot be read brings nothing; starting the visit says what is wrong with it.

    Examples
    --------
    >>> from engine.visit.keeping import knowledge
    >>> brought_along(knowledge(), {"boiler_age": "6 month"}, ())
    ['New installation, under one year']
    """
    values, stated = {}, tuple(stated)
    for name, text in facts.items():
        try:
            values[name] = fact_from_text(known, name, text)
        except SightportError:
            continue
    every = circumstances(known, values, stated)
    return [known.contexts[name].name for name in every if name not in stated]


def start(
    store: Store,
    known: Knowledge,
    who: str,
    title: str = "",
    symptoms: Iterable[str] = (),
    facts: Mapping[str, str] | None = None,
    contexts: Iterable[str] = (),
    suspected: str | None = None,
    openings: Iterable[str] | None = None,
) -> int:
    """A new visit with its first events; its id.

    Every event is checked before the first is stored, so that a value that cannot be read leaves
    no half-begun visit behind. After a danger sign nothing further is taken. `openings` make it a
    yearly service.

    Raises
    ------
    UnreadableValue, NotAllowed
        If one of the events cannot be taken; nothing is stored.
    """
    events = [
        *(happened.FactStated(fact=n, value=v) for n, v in (facts or {}).items() if v.strip()),
        *(happened.ContextStated(context=name) for name in contexts),
        *([happened.Suspected(cause=suspected)] if suspected else []),
        *([] if openings is None else [happened.ServicePlanned(openings=tuple(openings))]),
        *(happened.SymptomReported(symptom=name) for name in symptoms),
    ]
    history = ((1, happened.Opened(who=who, title=title)),)
    for event in events:
        check_event(known, history, event)
        history = (*history, (len(history) + 1, event))
    visit = begin(store, known, who, title)
    for event in events:
        record(store, known, visit, event)
    return visit

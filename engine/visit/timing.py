"""What is waited out or timed by the clock at a step."""

from collections.abc import Iterable
from dataclasses import dataclass

from engine import units
from engine.knowledge import Knowledge
from engine.visit.photographs import step_of
from engine.visit.state import Numbered

_TIMED = "duration"


@dataclass(frozen=True)
class Timer:
    """The clock of one step.

    `key` is another each time the step is made; `waits` are labels with their seconds, in the
    order of the moves; `stopwatch` says that something is timed by hand, and `fills` names the
    field of the reading that takes those seconds.
    """

    key: str
    waits: tuple[tuple[str, float], ...]
    stopwatch: bool = False
    fills: str | None = None


def timer(
    known: Knowledge, visit: int, history: Iterable[Numbered], kind: str, step: str
) -> Timer | None:
    """The clock of a check or closing step; None where nothing is timed.

    Examples
    --------
    >>> from engine.visit.keeping import knowledge
    >>> timer(knowledge(), 7, (), "check", "hot_tap_test").waits
    (('3 min', 180.0), ('1 min', 60.0))
    >>> timer(knowledge(), 7, (), "check", "gas_input_clocked").fills
    'duration'
    """
    if kind == "check":
        entry, check = known.checks[step], known.checks[step]
    elif kind == "proof":
        entry = known.closing[step]
        check = known.checks.get(entry.check)
    else:
        return None
    waits = entry.waits or (check.waits if check else ())
    times = bool(check and check.times)
    if not waits and not times:
        return None
    fields = check.reading.fields if times and check.reading else {}
    made = sum(step_of(event) == step for _, event in history)
    return Timer(
        key=f"{visit}.{step}.{made}",
        waits=tuple((text, units.parse(text, _TIMED)) for text in waits),
        stopwatch=times,
        fills=next((name for name, field in fields.items() if field.quantity == _TIMED), None),
    )

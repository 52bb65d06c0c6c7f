"""What others entered into a visit, for somebody who has not seen it yet."""

from collections.abc import Collection

from engine.knowledge import Knowledge
from engine.visit import events as happened
from engine.visit.keeping import Visit
from engine.visit.told import told


def entered_since(
    known: Knowledge, visit: Visit, last: int, mine: Collection[int] = ()
) -> tuple[str, ...]:
    """A line for each entry after number `last` that is not among `mine`, oldest first.

    An answer that a still later one replaced is not told any more.
    """
    lines = [
        f"{entry.kind}: {entry.text}"
        for entry in reversed(told(known, visit))
        if entry.number > last and entry.number not in mine
    ]
    lines += [
        f"Taken back: entry {event.event}"
        for number, event in visit.history
        if isinstance(event, happened.TakenBack) and number > last and number not in mine
    ]
    return tuple(lines)

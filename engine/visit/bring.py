"""What to bring for a service: instruments, tools, what goes in new, and what dirt may ask for."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engine import safety
from engine.knowledge import Knowledge
from engine.visit.service import with_needs, within


@dataclass(frozen=True)
class Bring:
    """Four lists in the words of the knowledge, each entry once.

    Instruments and tools go by the alphabet, so that two of a kind stand together.
    """

    instruments: tuple[str, ...]
    tools: tuple[str, ...]
    parts: tuple[str, ...]  # for the layers that are opened and shut
    if_dirty: tuple[str, ...]  # for the cleaning that may become necessary behind them

    def blocks(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """The lists that hold anything, each with its title."""
        titles = {
            "Instruments": self.instruments,
            "Tools and protection": self.tools,
            "Gaskets and what goes in new": self.parts,
            "If it is found dirty": self.if_dirty,
        }
        return tuple((title, lines) for title, lines in titles.items() if lines)


def to_bring(
    knowledge: Knowledge, who: str, facts: Mapping[str, object], openings: Iterable[str]
) -> Bring:
    """What a service with these openings needs in the van."""
    reach = set(with_needs(knowledge, openings))
    checks = [
        name
        for name in within(knowledge, who, facts, reach, "checks")
        if knowledge.checks[name].yearly
    ]
    layers = {
        layer for name in checks for layer in safety.opened_for(knowledge, "checks", name)
    } | reach
    closing = dict.fromkeys(c for layer in layers for c in knowledge.access[layer].closing)
    proving = [knowledge.closing[name].check for name in closing]
    read = [*checks, *(check for check in proving if check)]
    entries = [entry for name, entry in knowledge.access.items() if name in layers]
    cleaning = [
        knowledge.actions[name]
        for name in within(knowledge, who, facts, reach, "actions")
        if knowledge.actions[name].kind == "clean"
        and any(
            knowledge.access[layer].choosable
            for layer in safety.opened_for(knowledge, "actions", name)
        )
    ]
    parts = _counted(part for entry in entries for part in entry.parts)
    tools = _once(t for entry in entries for t in entry.tools)
    instruments = _once((t for name in read for t in _packed(knowledge.checks[name])), tools)
    dirty = _once((t for action in cleaning for t in action.tools), (*tools, *instruments))
    renewed = _counted(part for action in cleaning for part in action.parts)
    return Bring(
        instruments=instruments,
        tools=tools,
        parts=parts,
        if_dirty=(*dirty, *(part for part in renewed if part not in parts)),
    )


def _packed(check) -> tuple[str, ...]:
    """What to pack for a check."""
    if check.bring is not None:
        return check.bring
    return (check.instrument,) if check.instrument else ()


def _counted(parts) -> tuple[str, ...]:
    """Each part once, with the largest number that one step takes of it."""
    most: dict[str, int] = {}
    for part in parts:
        most[part.part] = max(part.count, most.get(part.part, 0))
    return tuple(f"{count} × {name}" for name, count in most.items())


def _once(lines: Iterable[str], beside: Iterable[str] = ()) -> tuple[str, ...]:
    """Each line once, by the alphabet; none that another one, here or `beside`, names more
    exactly.

    Examples
    --------
    >>> _once(["Torch", "Bucket", "Low-ohm meter, leads zeroed", "Low-ohm meter"], ["Bucket"])
    ('Low-ohm meter, leads zeroed', 'Torch')
    """
    beside, lines = tuple(beside), tuple(sorted(set(lines), key=str.casefold))
    return tuple(
        line
        for line in lines
        if line not in beside and not any(_names(other, line) for other in (*lines, *beside))
    )


def _names(longer: str, line: str) -> bool:
    """Whether a line begins with all of another, or holds all of its pieces, and says more."""
    pieces, more = ({p.strip().lower() for p in text.split(",")} for text in (line, longer))
    return pieces < more or longer.lower().startswith(f"{line.lower()} ")

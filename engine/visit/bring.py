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
    tools = _without_parts_of_others(t for entry in entries for t in entry.tools)
    dirty = [t for action in cleaning for t in action.tools]
    dirty += _counted(part for action in cleaning for part in action.parts)
    instruments = (knowledge.checks[name].instrument for name in read)
    return Bring(
        instruments=_without_parts_of_others(filter(None, instruments)),
        tools=tools,
        parts=parts,
        if_dirty=tuple(line for line in dict.fromkeys(dirty) if line not in (*parts, *tools)),
    )


def _counted(parts) -> tuple[str, ...]:
    """Each part once, with the largest number that one step takes of it."""
    most: dict[str, int] = {}
    for part in parts:
        most[part.part] = max(part.count, most.get(part.part, 0))
    return tuple(f"{count} × {name}" for name, count in most.items())


def _without_parts_of_others(lines: Iterable[str]) -> tuple[str, ...]:
    """Each line once, by the alphabet; what another line names among its pieces is left out."""
    lines = tuple(sorted(set(lines), key=str.casefold))
    pieces = {line: {piece.strip().lower() for piece in line.split(",")} for line in lines}
    return tuple(line for line in lines if not any(pieces[line] < pieces[other] for other in lines))

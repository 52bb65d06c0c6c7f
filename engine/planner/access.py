"""What it costs to get at something: layers opened once, and shut again to run.

Opening and later closing a layer are both paid when it is opened, because they come together;
while it stays open, what lies behind it is free to reach. A step that needs the boiler running
shuts what must be shut, so that reaching behind it again is paid again. What closing a layer
obliges (a leak test, combustion at both rates) is paid once a visit, whichever layer asks for it.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import minutes_to_prove
from engine.planner.problem import Layers


@lru_cache(maxsize=4)
def layers_of(knowledge: Knowledge) -> Layers:
    """The columns for a knowledge base."""
    entries = knowledge.access.values()
    shut = {name for name, entry in knowledge.access.items() if entry.shut_to_run}
    still = with_dependents(knowledge, tuple(knowledge.access), shut)
    closing = [name for name, entry in knowledge.closing.items() if not entry.always]
    return Layers(
        names=(*knowledge.access, *map(obligation, closing)),
        minutes=np.array(
            [entry.open_minutes + entry.close_minutes for entry in entries]
            + [minutes_to_prove(knowledge, name) for name in closing]
        ),
        shut_for_proof=np.array(
            [name not in still for name in knowledge.access] + [False] * len(closing)
        ),
    )


def obligation(closing: str) -> str:
    """The column of a closing step."""
    return f"closing {closing}"


def needed(knowledge: Knowledge, layers: Layers, step) -> tuple[np.ndarray, np.ndarray]:
    """(states that must be open, states that must be shut) for a check or action."""
    return _needed(knowledge, layers, step.access, step.shut)


@lru_cache(maxsize=4096)  # the same few hundred at every step of every visit
def _needed(knowledge, layers, access, shut):
    names = graphs.opening_order(knowledge.graph, access)
    excluded = {
        other
        for name in names
        for other, entry in knowledge.access.items()
        if entry.excludes(knowledge.access[name])
    }
    obliged = {obligation(c) for name in names for c in knowledge.access[name].closing}
    still = with_dependents(knowledge, tuple(knowledge.access), excluded | set(shut))
    gone = set(knowledge.access) - set(still) - set(names)
    return layers.mask({*names, *obliged}), layers.mask(gone)


def with_dependents(knowledge: Knowledge, opened: Sequence[str], shut: Collection[str]):
    """What stays open when `shut` is shut: nothing stays off behind a layer that is back on."""
    gone = set(shut)
    for name in opened:
        if gone & set(graphs.opening_order(knowledge.graph, (name,))):
            gone.add(name)
    return tuple(name for name in opened if name not in gone)


@dataclass(frozen=True)
class Way:
    """What has still to be brought about for a step, and what closing it again newly obliges.

    Attributes
    ----------
    states : tuple of str
        Access states, in the order in which they come about.
    minutes : float
        Of opening and closing them.
    obliged : tuple of (closing step, minutes)
    """

    states: tuple[str, ...]
    minutes: float
    obliged: tuple[tuple[str, float], ...]

    @property
    def total(self) -> float:
        """Minutes of all of it, as a step's price holds them."""
        return self.minutes + sum(minutes for _, minutes in self.obliged)


def way(knowledge: Knowledge, step, opened: Collection[str], obliged: Collection[str]) -> Way:
    """The way to a check or action, where some states hold and some closing is obliged already."""
    layers = layers_of(knowledge)
    wanted, _ = needed(knowledge, layers, step)
    new = wanted & ~layers.mask({*opened, *map(obligation, obliged)})
    takes = {layers.names[i]: float(layers.minutes[i]) for i in np.flatnonzero(new)}
    states = graphs.opening_order(knowledge.graph, step.access)
    return Way(
        states=tuple(name for name in states if name in takes),
        minutes=sum(takes.get(name, 0.0) for name in states),
        obliged=tuple(
            (name, takes[obligation(name)])
            for name in knowledge.closing
            if obligation(name) in takes
        ),
    )

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


@dataclass(frozen=True, eq=False)
class Layers:
    """Access states as columns, followed by the closing steps that they oblige.

    Attributes
    ----------
    names : tuple of str, length a
    minutes : ndarray, shape (a,)
        To open and to close again; for a closing step, to prove it.
    shut_to_run : ndarray of bool, shape (a,)
    """

    names: tuple[str, ...]
    minutes: np.ndarray
    shut_to_run: np.ndarray

    def mask(self, names: Collection[str]) -> np.ndarray:
        """Bool array, shape (a,), true for the named states."""
        return np.array([name in names for name in self.names], dtype=bool)


@lru_cache(maxsize=4)
def layers_of(knowledge: Knowledge) -> Layers:
    """The columns for a knowledge base."""
    entries = knowledge.access.values()
    closing = [name for name, entry in knowledge.closing.items() if not entry.always]
    return Layers(
        names=(*knowledge.access, *map(obligation, closing)),
        minutes=np.array(
            [entry.open_minutes + entry.close_minutes for entry in entries]
            + [minutes_to_prove(knowledge, name) for name in closing]
        ),
        shut_to_run=np.array([e.shut_to_run for e in entries] + [False] * len(closing)),
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


def move(
    layers: Layers, state: np.ndarray, wanted: np.ndarray, shut: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Minutes for getting into a step's access, and the state afterwards.

    Parameters
    ----------
    state, wanted, shut : ndarray of bool, shape (..., a)

    Returns
    -------
    minutes : ndarray, shape (...)
    state : ndarray of bool, shape (..., a)
    """
    minutes = (wanted & ~state) @ layers.minutes
    return minutes, (state & ~shut) | wanted


def with_dependents(knowledge: Knowledge, opened: Sequence[str], shut: Collection[str]):
    """What stays open when `shut` is shut: nothing stays off behind a layer that is back on."""
    gone = set(shut)
    for name in opened:
        if gone & set(graphs.opening_order(knowledge.graph, (name,))):
            gone.add(name)
    return tuple(name for name in opened if name not in gone)

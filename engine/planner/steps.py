"""Steps: which are worth taking from a place, and where each may lead; many places at once."""

from dataclasses import dataclass

import numpy as np

from engine.planner.problem import Problem
from engine.planner.stand import Stand, check, joined, prove, repair
from engine.planner.tree import LEAST_BITS, told

CHECK, REPAIR, PROOF, REFER = KINDS = "check", "repair", "proof", "refer"

LEAST_CHANCE = 1e-4
"""A repair less likely than this to help is not worth a look. Judgement."""


@dataclass(frozen=True)
class Step:
    """A step: `index` counts among the problem's checks or repairs."""

    kind: str
    index: int = 0


@dataclass(frozen=True, eq=False)
class Moves:
    """S steps, each from one of several places, checks before repairs before proofs.

    Attributes
    ----------
    place : ndarray of int, shape (S,)
        Where each is taken.
    kind : ndarray of int, shape (S,)
        Counts in `KINDS`.
    index : ndarray of int, shape (S,)
        Among the checks or repairs.
    """

    place: np.ndarray
    kind: np.ndarray
    index: np.ndarray

    def __len__(self) -> int:
        return len(self.place)

    def steps(self) -> list[Step]:
        """The same one by one."""
        pairs = zip(self.kind, self.index, strict=True)
        return [Step(KINDS[kind], int(index)) for kind, index in pairs]


@dataclass(frozen=True, eq=False)
class Taken:
    """Where moves lead, P places in all.

    Attributes
    ----------
    minutes : ndarray, shape (S,)
        Of each move, with its opening.
    move : ndarray of int, shape (P,)
        The move that leads to each place.
    chance : ndarray, shape (P,)
    after : Stand
    """

    minutes: np.ndarray
    move: np.ndarray
    chance: np.ndarray
    after: Stand


def moves_of(steps: list[Step]) -> Moves:
    """Steps from one place, in the order of `Moves`.

    Examples
    --------
    >>> moves_of([Step(REPAIR, 2), Step(CHECK, 1)]).steps()
    [Step(kind='check', index=1), Step(kind='repair', index=2)]
    """
    ordered = sorted((KINDS.index(step.kind), step.index) for step in steps)
    kind, index = np.array(ordered, dtype=np.intp).reshape(-1, 2).T
    return Moves(np.zeros(len(ordered), dtype=np.intp), kind, index)


def worthwhile(problem: Problem, at: Stand) -> Moves:
    """From every place each check that tells something, each repair that may help, and the proof
    of what was repaired. Referring is always possible and not among them."""
    places, kinds, indices = [], [], []
    if len(problem.checks.names):
        bits, _ = told(problem, at)
        place, index = np.nonzero(bits > LEAST_BITS)
        places.append(place), kinds.append(np.zeros(len(place), np.intp)), indices.append(index)
    helps = (at.weights @ problem.to_mend) @ problem.repairs.works.T > LEAST_CHANCE
    may = ~at.tried & at.justified & ~problem.repairs.waits(at)
    place, index = np.nonzero(helps & may)
    places.append(place), kinds.append(np.ones(len(place), np.intp)), indices.append(index)
    place = np.flatnonzero(at.pending)
    places.append(place), kinds.append(np.full(len(place), 2)), indices.append(np.zeros_like(place))
    return Moves(np.concatenate(places), np.concatenate(kinds), np.concatenate(indices))


def take(problem: Problem, at: Stand, moves: Moves) -> Taken:
    """Every move from its place."""
    minutes, sources, chances, afters, done = [], [], [], [], 0
    for kind, name in enumerate(KINDS[:3]):
        some = np.flatnonzero(moves.kind == kind)
        if not len(some):
            continue
        here, index = at[moves.place[some]], moves.index[some]
        source = np.arange(len(some))
        if name == CHECK:
            spent, source, chance, after = check(problem, here, index)
        elif name == REPAIR:
            spent, after = repair(problem, here, index)
            chance = np.ones(len(some))
        else:
            spent, chance, after = prove(problem, here)
            going = chance > 1e-12
            source, chance, after = source[going], chance[going], after[going]
        minutes.append(spent)
        sources.append(source + done)
        chances.append(chance)
        afters.append(after)
        done += len(some)
    if not minutes:
        nothing = np.zeros(0)
        return Taken(nothing, nothing.astype(np.intp), nothing, at[:0])
    return Taken(
        np.concatenate(minutes), np.concatenate(sources), np.concatenate(chances), joined(afters)
    )

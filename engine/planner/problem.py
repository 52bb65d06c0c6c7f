"""A troubleshooting problem as the planner sees it: everything that stays as it is meanwhile."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from engine.belief.sets import without

if TYPE_CHECKING:
    from engine.planner.stand import Stand


@dataclass(frozen=True, eq=False)
class Layers:
    """What stands in the way of a step: covers, states of the boiler, and what they oblige.

    Opening and later closing are both paid when a layer is opened, because they come together.

    Attributes
    ----------
    names : tuple of str, length a
    minutes : ndarray, shape (a,)
        To open and to close again; for something obliged once a visit, to do it.
    shut_for_proof : ndarray of bool, shape (a,)
        What a proof run shuts: layers that must be shut to run, and whatever lies behind one.
    """

    names: tuple[str, ...]
    minutes: np.ndarray
    shut_for_proof: np.ndarray

    def mask(self, names: Sequence[str]) -> np.ndarray:
        """Bool array, shape (a,), true for the named layers."""
        return np.array([name in names for name in self.names], dtype=bool)

    def opening(self, opened, wanted) -> np.ndarray:
        """Minutes of opening for each of several accesses from each place.

        Parameters
        ----------
        opened : ndarray of bool, shape (R, a)
        wanted : ndarray of bool, shape (k, a)

        Returns
        -------
        ndarray, shape (R, k)
        """
        return (~opened).astype(float) @ (wanted * self.minutes).T

    def move(self, opened, wanted, shut) -> tuple[np.ndarray, np.ndarray]:
        """Minutes for getting into a step's access, and what is open afterwards.

        Parameters
        ----------
        opened, wanted, shut : ndarray of bool, shape (..., a)
            Open now; needed open; needed shut.

        Returns
        -------
        minutes : ndarray, shape (...)
        opened : ndarray of bool, shape (..., a)
        """
        return (wanted & ~opened) @ self.minutes, (opened & ~shut) | wanted


@dataclass(frozen=True, eq=False)
class Checks:
    """Checks, t of them, with TK outcomes in all, one check's beside each other.

    Attributes
    ----------
    names : tuple of str, length t
    minutes : ndarray, shape (t,)
    wanted, shut : ndarray of bool, shape (t, a)
    shows : ndarray, shape (m, TK)
        P(outcome | set).
    first : ndarray of int, shape (t + 1,)
        Column of each check's first outcome; the last entry is TK.
    """

    names: tuple[str, ...]
    minutes: np.ndarray
    wanted: np.ndarray
    shut: np.ndarray
    shows: np.ndarray
    first: np.ndarray

    @cached_property
    def owner(self) -> np.ndarray:
        """Check of each column; int, shape (TK,)."""
        return np.repeat(np.arange(len(self.names)), np.diff(self.first))

    @cached_property
    def doubt(self) -> np.ndarray:
        """Bits of each check's answer that no cause explains, set by set; shape (m, t)."""
        return summed(bits_of(self.shows), self.first)


@dataclass(frozen=True, eq=False)
class Repairs:
    """Repairs, r of them.

    Attributes
    ----------
    names : tuple of str, length r
    minutes : ndarray, shape (r,)
        Without access; the price of parts among them.
    works : ndarray, shape (r, n)
        Probability of mending each cause.
    wanted, shut : ndarray of bool, shape (r, a)
    justified : ndarray of bool, shape (r,)
        Whether it may be done as things stand.
    justifies : ndarray of bool, shape (TK, r)
        Which outcomes would justify it.
    refreshes : ndarray of bool, shape (r, t)
        Which checks can be made again after it, for they may show something else then.
    supersedes : ndarray of bool, shape (r, r)
        Whether the first mends all that the second does, and more surely, as a new part does beside
        cleaning the old one. The second is no use after the first, and the first no sense before
        the second is proven.
    """

    names: tuple[str, ...]
    minutes: np.ndarray
    works: np.ndarray
    wanted: np.ndarray
    shut: np.ndarray
    justified: np.ndarray
    justifies: np.ndarray
    refreshes: np.ndarray
    supersedes: np.ndarray

    def waits(self, at: "Stand") -> np.ndarray:
        """Whether each repair waits for the proof of one that it supersedes; bool, shape (R, r)."""
        return at.unproven.astype(float) @ self.supersedes.T > 0


@dataclass(frozen=True, eq=False)
class Problem:
    """Everything that stays as it is while one plans.

    Attributes
    ----------
    causes : tuple of str, length n
    sets : ndarray of int, shape (m, width)
        Causes present at once; unused places hold n. The first is the empty set; with every set
        stand those that are left when one of its causes is mended.
    checks : Checks
    repairs : Repairs
    layers : Layers
    proof_minutes : float
        Up to the verdict.
    closing_minutes : float
        What is still to be proven once the verdict is good.
    chief : ndarray, shape (m, n), optional
        P(a cause brought the complaint | set); rows sum to 1, that of the empty set to 0. Where
        given, nothing is wrong any more once the cause that brought the complaint is mended;
        otherwise once no cause is left.
    catches : float
        Probability that a proof run notices a fault that is still there. There is no false alarm.
    missed_minutes : float
        What a fault costs that a passed proof has left in.
    refer_minutes : float
    doubt_minutes : float
        What each bit of uncertainty left at a referral costs whoever goes on.
    """

    causes: tuple[str, ...]
    sets: np.ndarray
    checks: Checks
    repairs: Repairs
    layers: Layers
    proof_minutes: float
    refer_minutes: float
    catches: float = 1.0
    missed_minutes: float = 0.0
    doubt_minutes: float = 0.0
    closing_minutes: float = 0.0
    chief: np.ndarray | None = None

    @cached_property
    def alone(self) -> np.ndarray:
        """P(mending a cause leaves nothing wrong | set); shape (m, n)."""
        if self.chief is not None:
            return self.chief
        return self.members * (self.members.sum(axis=1, keepdims=True) == 1.0)

    @cached_property
    def to_mend(self) -> np.ndarray:
        """P(a cause must be mended | set); shape (m, n)."""
        return self.members.astype(float) if self.chief is None else self.chief

    @cached_property
    def members(self) -> np.ndarray:
        """Which causes each set holds; bool, shape (m, n)."""
        padded = np.zeros((len(self.sets), len(self.causes) + 1), dtype=bool)
        padded[np.arange(len(self.sets))[:, None], self.sets] = True
        return padded[:, :-1]

    @cached_property
    def without(self) -> np.ndarray:
        """Row of the set that is left when the cause in each place is taken out; (m, width)."""
        return without(self.sets, len(self.causes))

    @cached_property
    def moves(self) -> tuple[tuple[tuple[np.ndarray, np.ndarray, np.ndarray, float], ...], ...]:
        """For each repair and each cause it mends: sets with the cause, the sets without it, how
        likely nothing is wrong then for that cause has brought the complaint, works."""
        held = [np.nonzero(self.sets == cause) for cause in range(len(self.causes))]
        each = [
            (rows, self.without[rows, places], self.alone[rows, cause])
            for cause, (rows, places) in enumerate(held)
        ]
        return tuple(
            tuple((*each[cause], float(works[cause])) for cause in np.flatnonzero(works))
            for works in self.repairs.works
        )


def entropy(weights: np.ndarray) -> np.ndarray:
    """Bits of uncertainty of each row; shape (R,)."""
    return bits_of(weights).sum(axis=-1)


def bits_of(chance: np.ndarray) -> np.ndarray:
    """What each probability adds to uncertainty, -p log2 p; 0 for an impossible one."""
    bits = np.maximum(chance, np.finfo(float).tiny)
    np.log2(bits, out=bits)  # in place: these are the planner's largest arrays
    bits *= chance
    return np.negative(bits, out=bits)


def summed(columns: np.ndarray, first: np.ndarray) -> np.ndarray:
    """Sums over each check's columns."""
    if len(first) == 1:
        return np.zeros((len(columns), 0))
    return np.add.reduceat(columns, first[:-1], axis=1)

"""Weights over fault sets, and what findings and repairs do to them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from engine.belief.network import COMPLAINT_LEAK, UNLISTED, Network
from engine.belief.sets import fault_sets, outcome_table, over_members, without


class Space:
    """The fault sets of one network that can be, with what each check shows for each of them.

    Parameters
    ----------
    network : Network
    largest : int
        Most causes present at once. 2, or 3 where prevalences reach 10 %.
    """

    def __init__(self, network: Network, largest: int = 2):
        self.network = network
        self.largest = largest
        beside = {*np.flatnonzero(network.standing), *(pair[1] for pair in network.promoted)}
        self.sets = fault_sets(len(network.causes), largest, beside)
        self._tables: dict[str, np.ndarray] = {}

    @cached_property
    def members(self) -> np.ndarray:
        """Which causes each set holds; bool, shape (m, n)."""
        padded = np.zeros((len(self.sets), len(self.network.causes) + 1), dtype=bool)
        padded[np.arange(len(self.sets))[:, None], self.sets] = True
        return padded[:, :-1]

    @cached_property
    def without(self) -> np.ndarray:
        """Row of the set that is left when the cause in each place is taken out; (m, width)."""
        return without(self.sets, len(self.network.causes))

    @cached_property
    def bears(self) -> Mapping[str, np.ndarray]:
        """Which listed causes bear on each check; bool, shape (n,). The unlisted one is left out,
        for it bears on all."""
        listed = np.array([name != UNLISTED for name in self.network.causes])
        effects = self.network.effects.items()
        return {name: (rows < 1).any(axis=1) & listed for name, rows in effects}

    def table(self, check: str) -> np.ndarray:
        """P(outcome | set) of a check; shape (m, K)."""
        if check not in self._tables:
            self._tables[check] = outcome_table(
                self.network.background[check], self.network.effects[check], self.sets
            )
        return self._tables[check]

    def foreseen(self, check: str, rows: np.ndarray) -> np.ndarray:
        """What a check not made yet is expected to show for some of the sets; shape (rows, K).

        Causes that stand unnoticed beside the listed ones may show in it too.
        """
        net = self.network
        return outcome_table(
            net.background[check] * net.strays[check], net.effects[check], self.sets[rows]
        )

    @cached_property
    def chief(self) -> np.ndarray | None:
        """P(the cause in each place of a set brought the complaint | set); shape (m, width).

        Findings do not change it, for what a check shows depends on the set alone. None where
        several complaints are made: they may have several causes, and all have to go.
        """
        if len(self.network.share) > 1:
            return None
        real = self.sets < len(self.network.causes)
        brought = np.where(real, self._joint.T, 0.0)
        never = brought.sum(axis=1) == 0
        brought[never] = real[never]  # no weight comes to these
        total = brought.sum(axis=1, keepdims=True)
        return brought / np.where(total > 0, total, 1.0)

    def prior(self) -> np.ndarray:
        """P(set, complaints) before any finding; shape (m,). Sums to less than 1."""
        return self._joint.sum(axis=0)

    @cached_property
    def _joint(self) -> np.ndarray:
        """P(set, complaints, brought by the cause in each place of the set); shape (width, m)."""
        net = self.network
        made = 1 - (1 - COMPLAINT_LEAK) * np.array(
            [over_members(row, self.sets) for row in net.complaint]
        )
        result = np.zeros(self.sets.T.shape)
        odds = np.tile(np.append(net.standing / (1 - net.standing), 1.0), (len(net.causes) + 1, 1))
        alone = np.prod(1 - net.standing) / (1 - net.standing)
        for (chief, beside), prevalence in net.promoted.items():
            alone[chief] *= (1 - prevalence) / (1 - net.standing[beside])
            odds[chief, beside] = prevalence / (1 - prevalence)
        for s, share in enumerate(net.share):
            brought = np.append(net.chief[s] * alone, 0.0)
            others = np.prod(np.delete(made, s, axis=0), axis=0)
            for place in range(self.sets.shape[1]):
                chief = self.sets[:, place]
                term = brought[chief]
                for other in range(self.sets.shape[1]):
                    if other != place:
                        term = term * odds[chief, self.sets[:, other]]
                result[place] += share * term * others
        return result

    def belief(self) -> "Belief":
        """The belief before any finding."""
        joint = self.prior()
        total = float(joint.sum())
        return Belief(self, joint / total, total)


@dataclass(frozen=True, eq=False)
class Belief:
    """Weights over the sets of a space.

    Attributes
    ----------
    space : Space
    weights : ndarray, shape (m,)
        Sum to 1.
    evidence : float
        P(complaints and findings so far, one of the sets of the space).
    """

    space: Space
    weights: np.ndarray
    evidence: float

    def observe(self, likelihood: np.ndarray) -> "Belief":
        """The belief after a finding with P(finding | set) = `likelihood`, shape (m,)."""
        joint = self.weights * likelihood
        total = float(joint.sum())
        return replace(self, weights=joint / total, evidence=self.evidence * total)

    def mend(self, works: Mapping[str, float]) -> "Belief":
        """The belief after a repair that mends each named cause with the given probability.

        Weight moves from sets with a cause to the sets without it, or, as far as that cause has
        brought the one complaint made, to nothing being wrong any more: what stands beside it
        stands in boilers that nobody complains of. What was found before the repair stays
        absorbed, what is found after it reads the new state.
        """
        space, weights = self.space, self.weights.copy()
        for cause, probability in works.items():
            if cause not in space.network.causes:
                continue
            held = np.nonzero(space.sets == space.network.causes.index(cause))
            moved = weights[held[0]] * probability
            over = 0.0 if space.chief is None else moved * space.chief[held]
            weights[held[0]] -= moved
            weights[space.without[held]] += moved - over  # different sets lead to different ones
            weights[0] += np.sum(over)
        return replace(self, weights=weights)

    def marginals(self) -> np.ndarray:
        """P(cause present) for each cause of the network; shape (n,)."""
        return self._summed_by_cause(np.ones(self.space.sets.shape))

    def to_mend(self) -> np.ndarray:
        """P(cause must be mended for the complaints to go), of each cause; shape (n,)."""
        chief = self.space.chief
        return self.marginals() if chief is None else self._summed_by_cause(chief)

    def _summed_by_cause(self, share) -> np.ndarray:
        """Weights summed over the places where each cause stands, times a share of each place."""
        sets, count = self.space.sets, len(self.space.network.causes)
        weights = (self.weights[:, None] * share).ravel()
        return np.bincount(sets.ravel(), weights, minlength=count + 1)[:-1]

    def unlisted(self) -> float:
        """P(a cause that no file names)."""
        return float(self.marginals()[self.space.network.causes.index(UNLISTED)])

    def sound(self) -> float:
        """P(what brought the complaint is mended)."""
        return float(self.weights[0])

    def predict(self, check: str) -> np.ndarray:
        """P(outcome) of a check not made yet; shape (K,)."""
        return self.weights @ self.space.table(check)

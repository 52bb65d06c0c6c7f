"""What following a policy comes to: exactly, over every place it can reach, or by simulation.

A policy is asked once for each place, however many ways lead there.
"""

from collections import defaultdict
from dataclasses import dataclass
from hashlib import blake2b
from time import monotonic

import numpy as np

from engine.planner.policies import Policy
from engine.planner.problem import Problem
from engine.planner.stand import Stand, check, prove, referred, repair
from engine.planner.steps import CHECK, PROOF, REPAIR

NIL = 1e-12
"""Answers less likely than this are left out, as `engine.planner.stand.check` does; so is a
failed proof."""

GOLDEN = (5**0.5 - 1) / 2


@dataclass(frozen=True)
class Simulated:
    """Mean minutes of simulated visits.

    The standard error is that of independent visits; because the causes are drawn evenly the mean
    is in truth surer.
    """

    minutes: float
    standard_error: float
    visits: int


def expected(
    problem: Problem, at: Stand, policy: Policy, most_places: int = 20_000
) -> float | None:
    """Expected minutes of following a policy from one place; exact.

    Parameters
    ----------
    most_places : int
        How many places may be looked at.

    Returns
    -------
    float or None
        None where there are more places.

    Examples
    --------
    Two causes alike, 20 minutes each: the first repair, and half the time the second.

    >>> from engine.planner.neutral import read
    >>> from engine.planner.policies import myopic
    >>> from engine.planner.stand import start
    >>> problem, weights = read({
    ...     "causes": [{"id": i, "prior": 0.5, "repair": {"minutes": 20}} for i in "ab"],
    ...     "refer": {"minutes": 600}})
    >>> expected(problem, start(problem, weights), myopic)
    30.0
    """
    return Followed(problem, at, policy).expected(most_places)


def simulated(problem: Problem, at: Stand, policy: Policy, visits: int, seed: int) -> Simulated:
    """Minutes of following a policy in visits drawn from the belief.

    What is present, what a check shows, whether a repair works and whether a proof notices is
    drawn for each visit before anything is done, so two policies with one seed meet the same.

    Parameters
    ----------
    visits : int
        How many; two at least.

    Examples
    --------
    >>> from engine.planner.neutral import read
    >>> from engine.planner.policies import myopic
    >>> from engine.planner.stand import start
    >>> problem, weights = read({
    ...     "causes": [{"id": i, "prior": 0.5, "repair": {"minutes": 20}} for i in "ab"],
    ...     "refer": {"minutes": 600}})
    >>> found = simulated(problem, start(problem, weights), myopic, 400, seed=1)
    >>> abs(found.minutes - 30) < 4 * found.standard_error, found.standard_error < 1
    (True, True)
    """
    return Followed(problem, at, policy).simulated(visits, seed)


class Followed:
    """A policy followed from one place, and what it has decided so far.

    Parameters
    ----------
    at : Stand
        One place.

    Examples
    --------
    >>> from engine.planner.neutral import read
    >>> from engine.planner.policies import myopic
    >>> from engine.planner.stand import start
    >>> problem, weights = read({
    ...     "causes": [{"id": i, "prior": 0.5, "repair": {"minutes": 20}} for i in "ab"],
    ...     "refer": {"minutes": 600}})
    >>> followed = Followed(problem, start(problem, weights), myopic)
    >>> followed.expected(most_places=2), followed.expected()
    (None, 30.0)
    """

    def __init__(self, problem: Problem, at: Stand, policy: Policy):
        self.problem, self.at, self.policy = problem, at, policy
        self.known: dict[bytes, _Place] = {}
        self.rows = {row.tobytes(): i for i, row in enumerate(problem.members)}

    def expected(self, most_places: int = 20_000, seconds: float = np.inf) -> float | None:
        """As the function; None also where it takes longer than `seconds`."""
        began = monotonic()
        level, total = {self._of(self.at): 1.0}, 0.0
        while level:
            after: dict[_Place, float] = defaultdict(float)
            waiting = sum(isinstance(next_, Stand) for place in level for next_ in place.places)
            for place, reached in level.items():
                # Given up as soon as the next places alone would take too long at this pace.
                pace = (monotonic() - began) / len(self.known)
                late = pace * (len(self.known) + waiting) > seconds
                if len(self.known) > most_places or late:
                    return None
                total += reached * place.minutes
                for i, chance in enumerate(place.chances):
                    waiting -= isinstance(place.places[i], Stand)
                    after[self._after(place, i)] += reached * chance
            level = after
        return float(total)

    def simulated(self, visits: int, seed: int, seconds: float = np.inf) -> Simulated | None:
        """As the function; fewer visits, the first ones, where they take longer than `seconds`.

        None where that leaves fewer than two.
        """
        until = monotonic() + seconds
        minutes: list[float] = []
        for visit in range(visits):
            spent = self._visit(_World(self.problem, self.at, seed, visit), until)
            if spent is None:
                break
            minutes.append(spent)
        if len(minutes) < 2:
            return None
        error = float(np.std(minutes, ddof=1) / np.sqrt(len(minutes)))
        return Simulated(float(np.mean(minutes)), error, len(minutes))

    def _visit(self, world, until) -> float | None:
        """Minutes of one visit; None where the time is up before its end."""
        place, spent = self._of(self.at), 0.0
        while True:
            spent += place.minutes - place.missed
            step, onward = place.step, 0
            if step.kind == CHECK:
                shows = self.problem.checks.shows[self.rows[world.faults.tobytes()]]
                onward = world.shown(step.index, shows[place.columns])
            elif step.kind == REPAIR:
                world.repair(step.index)
            elif step.kind == PROOF:
                faulty, noticed = world.prove()
                if not (noticed and len(place.chances)):
                    return spent + faulty * self.problem.missed_minutes
            else:
                return spent
            if monotonic() > until:
                return None
            place = self._after(place, onward)

    def _of(self, at: Stand) -> "_Place":
        flags = np.concatenate([at.opened[0], at.made[0], at.tried[0], at.justified[0], at.pending])
        # Answers in another order lead to the same belief but for the last digits.
        belief = np.round(at.weights[0], 11) + 0.0
        key = blake2b(belief.tobytes() + np.packbits(flags).tobytes(), digest_size=16).digest()
        if key not in self.known:
            self.known[key] = _Place(self.problem, at, self.policy)
        return self.known[key]

    def _after(self, place: "_Place", i: int) -> "_Place":
        if isinstance(place.places[i], Stand):
            place.places[i] = self._of(place.places[i])
        return place.places[i]


class _Place:
    """Where one stands, what the policy does there, and where that leads.

    `missed` is the part of the minutes that stands for a fault which a proof may leave in.
    """

    def __init__(self, problem: Problem, at: Stand, policy: Policy):
        self.step = policy(problem, at)
        self.missed = 0.0
        self.columns = self.chances = np.ones(0)
        chosen, after = np.array([self.step.index]), at
        if self.step.kind == CHECK:
            minutes, _, self.chances, after = check(problem, at, chosen)
            columns = np.arange(*problem.checks.first[self.step.index : self.step.index + 2])
            joint = at.weights[[0] * len(columns)] * problem.checks.shows.T[columns]
            self.columns = columns[joint.sum(axis=1) > NIL]
        elif self.step.kind == REPAIR:
            minutes, after = repair(problem, at, chosen)
            self.chances = np.ones(1)
        elif self.step.kind == PROOF:
            minutes, fails, after = prove(problem, at)
            certain = problem.proof_minutes + (1 - float(fails[0])) * problem.closing_minutes
            self.missed = float(minutes[0]) - certain
            self.chances = fails[fails > NIL]
        else:
            minutes = referred(problem, at)
        self.minutes = float(minutes[0])
        self.places: list[Stand | _Place] = [after[[i]] for i in range(len(self.chances))]


class _World:
    """What one visit meets; every draw has its own place among the visit's random numbers."""

    def __init__(self, problem: Problem, at: Stand, seed: int, visit: int):
        self.works, self.catches = problem.repairs.works, problem.catches
        mends, answers = np.count_nonzero(self.works), len(problem.checks.names)
        draws = np.random.default_rng([seed, visit]).random(answers + mends + len(self.works) + 1)
        # Steps of the golden ratio visit the causes more evenly than independent draws.
        present = (np.random.default_rng(seed).random() + visit * GOLDEN) % 1
        below = np.cumsum(at.weights[0])
        row = int(np.searchsorted(below, present * below[-1], side="right"))
        row = min(row, len(below) - 1)
        self.faults = problem.members[row].copy()
        self.wrong = np.ones_like(self.faults)  # which of the faults have to go
        if problem.chief is not None and row:
            brought = np.cumsum(problem.chief[row])
            chief = int(np.searchsorted(brought, draws[-1] * brought[-1], side="right"))
            self.wrong = np.arange(len(self.faults)) == chief
        self.answers = draws[:answers]
        self.mends = np.ones(self.works.shape)
        self.mends[self.works > 0] = draws[answers:][:mends]
        self.proofs = iter(draws[answers + mends : -1])

    def shown(self, which: int, chance: np.ndarray) -> int:
        """Which of the answers of a check comes, of those that the belief allows."""
        below = np.cumsum(chance)
        drawn = int(np.searchsorted(below, self.answers[which] * below[-1], side="right"))
        return min(drawn, len(chance) - 1)

    def repair(self, which: int) -> None:
        self.faults &= self.mends[which] >= self.works[which]

    def prove(self) -> tuple[bool, bool]:
        """(whether a fault is left, whether the proof notices it)."""
        faulty = bool((self.faults & self.wrong).any())
        return faulty, faulty and next(self.proofs) < self.catches

"""Visits to drawn boilers in lockstep: what a policy's steps come to where every draw is made.

All visits of a complaint take a step at the same time. Those with the same belief, with the same
open and done, share a place, and a policy is asked once for each place. Nobody is told more than
the answers drawn (`tests.benchmarks.worlds`).

The belief is the app's (`engine.visit.thinking`), but for some simplifications: answers are
outcomes, not readings; every cause is in view from the start, and an answer is weighed as the
planner foresees it; a danger sign does not stop a visit, it is only counted.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from hashlib import blake2b

import numpy as np

from engine.belief.observers import PROOF_PASSES
from engine.planner.problem import Problem
from engine.planner.stand import Stand, joined, repair
from tests.benchmarks.worlds import EPOCHS, Setting, Worlds

DOOR = "burner_door_off"

CHECK, REPAIR, PROOF, REFER = range(4)
GOING, RIGHT, WRONG, REFERRED = range(4)
COUNTED = ("price", "minutes", "checks", "repairs", "proofs", "doors", "end", "danger")


@dataclass(frozen=True, eq=False)
class Steps:
    """A policy's step in each of P places; `index` counts among the checks or repairs."""

    kind: np.ndarray
    index: np.ndarray


Rule = Callable[[Problem, Stand], Steps]


@dataclass(frozen=True, eq=False)
class Way:
    """A rule; one that goes by a chart asks what bears on the complaint, each question once."""

    rule: Rule
    chart: bool = False


@dataclass(frozen=True, eq=False)
class Places:
    """P places, with the checks and repairs that are prevented in each."""

    at: Stand
    checks: np.ndarray
    repairs: np.ndarray

    def __getitem__(self, rows) -> "Places":
        return Places(self.at[rows], self.checks[rows], self.repairs[rows])

    def seen(self) -> Stand:
        """As a rule sees them: what is prevented cannot be chosen."""
        at = self.at
        return replace(at, made=at.made | self.checks, tried=at.tried | self.repairs)


def keys(at: Stand) -> list[bytes]:
    """One for each place; alike where belief and all else are, but for the last digits."""
    flags = np.concatenate(
        [at.opened, at.made, at.tried, at.justified, at.unproven, at.pending[:, None]], axis=1
    )
    belief, packed = np.round(at.weights, 11) + 0.0, np.packbits(flags, axis=1)
    return [
        blake2b(b.tobytes() + f.tobytes(), digest_size=16).digest()
        for b, f in zip(belief, packed, strict=True)
    ]


def follow(
    of: Setting,
    worlds: Worlds,
    way: Way,
    planned: tuple[Problem, Stand] | None = None,
    report: Callable[[str], None] = lambda said: None,
) -> dict[str, np.ndarray]:
    """Every visit to its end by one policy.

    Parameters
    ----------
    planned : (Problem, Stand), optional
        What the policy plans with, where that is not as the world is.

    Returns
    -------
    dict of str to ndarray, shape (N,)
        The `COUNTED` ones: price and minutes; how many; `end` one of RIGHT, WRONG, REFERRED;
        whether a danger sign was seen.
    """
    true = of.problem
    problem, at = planned or (true, of.at)
    places = Places(at, of.blocked_checks[None], of.blocked_repairs[None])
    if way.chart:
        never = np.zeros_like(problem.repairs.refreshes)  # each question once
        problem = replace(problem, repairs=replace(problem.repairs, refreshes=never))
        places = replace(places, at=replace(at, made=at.made | ~of.bearing))
    visits = len(worlds.chief)
    where, faults = np.zeros(visits, dtype=np.intp), worlds.faults.copy()
    done = {name: np.zeros(visits, dtype=int) for name in COUNTED[2:]}
    minutes = np.zeros(visits)
    door = true.layers.names.index(DOOR)
    rounds = 0
    while (going := np.flatnonzero(done["end"] == GOING)).size:
        used, where[going] = np.unique(where[going], return_inverse=True)
        places, rounds = places[used], rounds + 1
        report(f"step {rounds}: {len(going)} visits in {len(used)} places")
        steps = way.rule(problem, places.seen())
        kind, index, here = steps.kind[where[going]], steps.index[where[going]], where[going]
        answer = np.zeros(len(going), dtype=np.intp)

        for k, step, name in ((CHECK, true.checks, "checks"), (REPAIR, true.repairs, "repairs")):
            mine = kind == k
            rows, which, opened = going[mine], index[mine], places.at.opened[here[mine]]
            spent, after = true.layers.move(opened, step.wanted[which], step.shut[which])
            minutes[rows] += step.minutes[which] + spent
            done["doors"][rows] += after[:, door] & ~opened[:, door]
            if k == CHECK:
                answer[mine] = answers(of, worlds, faults, rows, which, done["repairs"][rows])
                done["danger"][rows] |= of.danger[answer[mine]]
            else:
                faults[rows] &= ~worlds.mended[rows, which]
            done[name][rows] += 1

        rows = going[kind == PROOF]
        gone = ~faults[rows, worlds.chief[rows]]
        passes = np.where(gone, PROOF_PASSES["sound"], PROOF_PASSES["faulty"])
        passed = worlds.proofs[rows, done["repairs"][rows]] < passes
        minutes[rows] += true.proof_minutes + passed * true.closing_minutes
        done["proofs"][rows] += 1
        done["end"][rows] = np.where(passed, np.where(gone, RIGHT, WRONG), GOING)
        done["end"][going[kind == REFER]] = REFERRED

        left = done["end"][going] == GOING
        if left.any():
            pairs, to = np.unique(
                np.column_stack([here[left], answer[left]]), axis=0, return_inverse=True
            )
            places = _after(of, problem, places, steps, pairs)
            _, first, same = np.unique(keys(places.seen()), return_index=True, return_inverse=True)
            places = places[first]
            where[going[left]] = same.ravel()[to.ravel()]
    price = minutes + np.where(done["end"] == RIGHT, 0.0, true.refer_minutes)
    return {"price": price, "minutes": minutes, **done}


def answers(of, worlds, faults, rows, which, epoch) -> np.ndarray:
    """The column of the outcome that each visit of `rows` hears of the check in `which`."""
    net, checks = of.network, of.problem.checks
    column = np.empty(len(rows), dtype=np.intp)
    drawn = worlds.answers[rows, which, np.minimum(epoch, EPOCHS - 1)]
    for check in np.unique(which):
        mine = which == check
        name, sure = checks.names[check], of.sure[check]
        present = faults[rows[mine]][:, :, None]
        below = net.background[name] * np.where(present, net.effects[name], 1.0).prod(axis=1)
        count = below.shape[1]
        below = sure * below + (1 - sure) * np.arange(1, count + 1) / count
        shown = (drawn[mine, None] >= below).sum(axis=1)
        column[mine] = checks.first[check] + np.minimum(shown, count - 1)
    return column


def _after(of, problem, places, steps, pairs) -> Places:
    """The places that lead on, one for each row (place, column of the outcome) of `pairs`."""
    source, column = pairs.T
    before, kind, index = places[source], steps.kind[source], steps.index[source]
    parts, order = [], []
    for k in (CHECK, REPAIR, PROOF):
        rows = np.flatnonzero(kind == k)
        if len(rows):
            now, which = before[rows], index[rows]
            if k == CHECK:
                parts.append(_checked(of, problem, now, which, column[rows]))
            elif k == REPAIR:
                _, at = repair(problem, now.at, which)
                no = np.zeros_like(now.checks), np.zeros_like(now.repairs)
                parts.append(Places(at, *no))
            else:
                parts.append(replace(now, at=failed(problem, now.at)))
            order.append(rows)
    back = np.argsort(np.concatenate(order))
    return Places(
        joined([part.at for part in parts])[back],
        np.concatenate([part.checks for part in parts])[back],
        np.concatenate([part.repairs for part in parts])[back],
    )


def _checked(of, problem, now, which, column) -> Places:
    at, checks = now.at, problem.checks
    weights = at.weights * checks.shows.T[column]
    made = at.made.copy()
    made[np.arange(len(made)), which] = True
    _, opened = problem.layers.move(at.opened, checks.wanted[which], checks.shut[which])
    at = replace(
        at,
        weights=weights / weights.sum(axis=1, keepdims=True),
        opened=opened,
        made=made,
        justified=at.justified | problem.repairs.justifies[column],
    )
    # An outcome that prevents nothing shows that what the complaint prevents can be reached.
    bars = of.bars_checks[column].any(axis=1) | of.bars_repairs[column].any(axis=1)
    lifted = (of.speaks[column] & ~bars)[:, None]
    return Places(
        at,
        (now.checks | of.bars_checks[column]) & ~lifted,
        (now.repairs | of.bars_repairs[column]) & ~lifted,
    )


def failed(problem: Problem, at: Stand) -> Stand:
    """After a failed proof, which may be a false alarm."""
    weights = at.weights * (1 - PROOF_PASSES["faulty"])
    weights[:, 0] = at.weights[:, 0] * (1 - PROOF_PASSES["sound"])
    return replace(
        at,
        weights=weights / weights.sum(axis=1, keepdims=True),
        opened=at.opened & ~problem.layers.shut_for_proof,
        unproven=np.zeros_like(at.unproven),
        pending=np.zeros(len(at), dtype=bool),
    )

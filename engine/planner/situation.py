"""What can be done now, as arrays: the planner's whole view of a visit."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from engine import safety
from engine.belief.posterior import Belief
from engine.knowledge import Knowledge
from engine.knowledge.before import minutes_to_prove
from engine.planner.access import Layers, layers_of, needed, obligation

REFER_MINUTES = {"caller": 60.0, "technician_no_gas": 120.0, "technician": 1200.0}
"""What a referral costs. For a licensed technician: two and a half working days until somebody who
knows this boiler better has come, and a house cold meanwhile. For the others: the way of the person
who comes, to which that person's own work is added. Judgement."""


def proof_minutes(knowledge: Knowledge) -> float:
    """Minutes for proving a repair: the closing steps that every repair obliges."""
    return sum(
        minutes_to_prove(knowledge, name)
        for name, entry in knowledge.closing.items()
        if entry.always
    )


@dataclass(frozen=True, eq=False)
class Situation:
    """Everything the planner decides on.

    Attributes
    ----------
    sets : ndarray of int, shape (m, width)
    weights : ndarray, shape (m,)
        Belief over fault sets; unused places of `sets` hold the number of causes.
    checks : tuple of str, length t
        Checks that may be made now.
    tables : tuple of ndarray, each of shape (m, K)
        P(outcome | set) of each.
    check_minutes : ndarray, shape (t,)
    check_wanted, check_shut : ndarray of bool, shape (t, a)
        Access states each check needs open, and shut.
    repairs : tuple of str or None, length n
        The action chosen for each cause; None where this person has none.
    repair_minutes, works : ndarray, shape (n,)
        Minutes without access, the price of parts among them, and the probability of mending.
    repair_wanted, repair_shut : ndarray of bool, shape (n, a)
    repair_now : ndarray of bool, shape (n,)
        Whether the findings already justify the repair.
    layers : Layers
    opened : ndarray of bool, shape (a,)
    refer_minutes, proof_minutes : float
    handed_over : bool
        Whether a referral is only the beginning of somebody's work (it goes to someone licensed).
    """

    sets: np.ndarray
    weights: np.ndarray
    checks: tuple[str, ...]
    tables: tuple[np.ndarray, ...]
    check_minutes: np.ndarray
    check_wanted: np.ndarray
    check_shut: np.ndarray
    repairs: tuple[str | None, ...]
    repair_minutes: np.ndarray
    works: np.ndarray
    repair_wanted: np.ndarray
    repair_shut: np.ndarray
    repair_now: np.ndarray
    layers: Layers
    opened: np.ndarray
    refer_minutes: float
    proof_minutes: float
    handed_over: bool


def situation(
    knowledge: Knowledge,
    belief: Belief,
    who: str,
    facts: Mapping[str, object],
    made: Collection[str],
    found: Collection[tuple[str, str]],
    unable: Collection[str],
    opened: Collection[str],
    obliged: Collection[str] = (),
    tried: Collection[str] = (),
) -> Situation:
    """The planner's view of a visit.

    Parameters
    ----------
    made : collection of str
        Checks already made on the boiler as it is now; making them again brings nothing.
    found : collection of (check, outcome)
        All findings, which may justify an action.
    unable : collection of str
        Checks and actions this person cannot or will not do.
    opened : collection of str
        Access states that hold now.
    obliged : collection of str
        Closing steps that what was opened obliges already.
    tried : collection of str
        Actions already done; a repair is tried once, whatever it was meant to mend.
    """
    layers = layers_of(knowledge)
    space = belief.space
    checks = tuple(
        name
        for name, check in knowledge.checks.items()
        if name in space.network.background
        and not check.derived
        and name not in made
        and name not in unable
        and safety.allowed(knowledge, who, "checks", name)
    )
    wanted, shut = _access(knowledge, layers, [knowledge.checks[name] for name in checks])
    causes = space.network.causes
    chosen = [
        _repair(knowledge, who, facts, unable, tried, cause, layers)
        if cause in knowledge.causes
        else None
        for cause in causes
    ]
    steps = [knowledge.actions[action] if action else None for action in chosen]
    repair_wanted, repair_shut = _access(knowledge, layers, steps)
    return Situation(
        sets=space.sets,
        weights=belief.weights,
        checks=checks,
        tables=tuple(space.table(name) for name in checks),
        check_minutes=np.array([knowledge.checks[name].minutes for name in checks]),
        check_wanted=wanted,
        check_shut=shut,
        repairs=tuple(chosen),
        repair_minutes=np.array([step.minutes + step.price if step else 0.0 for step in steps]),
        works=np.array(
            [
                knowledge.probability(knowledge.causes[cause].mended_by[action]) if action else 0.0
                for cause, action in zip(causes, chosen, strict=True)
            ]
        ),
        repair_wanted=repair_wanted,
        repair_shut=repair_shut,
        repair_now=np.array(
            [
                bool(action) and safety.justified(knowledge, action, cause, found)
                for cause, action in zip(causes, chosen, strict=True)
            ]
        ),
        layers=layers,
        opened=layers.mask({*opened, *map(obligation, obliged)}),
        refer_minutes=REFER_MINUTES[who],
        proof_minutes=proof_minutes(knowledge),
        handed_over=who != "technician",
    )


def _access(knowledge, layers, steps):
    nothing = np.zeros(len(layers.names), dtype=bool)
    pairs = [needed(knowledge, layers, s) if s else (nothing, nothing) for s in steps]
    if not pairs:
        empty = np.zeros((0, len(layers.names)), dtype=bool)
        return empty, empty
    return np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])


def _repair(knowledge, who, facts, unable, tried, cause, layers) -> str | None:
    """The action with the most chance per minute that this person may do for a cause."""
    best, best_rate = None, 0.0
    proof = proof_minutes(knowledge)
    for action, word in knowledge.causes[cause].mended_by.items():
        entry = knowledge.actions[action]
        if (
            action in unable
            or action in tried
            or not safety.possible(knowledge, facts, "actions", action)
            or not safety.allowed(knowledge, who, "actions", action)
        ):
            continue
        minutes = entry.minutes + entry.price + needed(knowledge, layers, entry)[0] @ layers.minutes
        rate = knowledge.probability(word) / (minutes + proof)
        if rate > best_rate:
            best, best_rate = action, rate
    return best

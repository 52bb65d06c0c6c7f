"""What can be done now, from the knowledge and the state of a visit."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np

from engine import safety
from engine.belief.observers import PROOF_PASSES, reliability
from engine.belief.posterior import Belief
from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import at_the_end, gives_verdict, minutes_to_prove
from engine.planner.access import layers_of, needed, obligation
from engine.planner.problem import Checks, Problem, Repairs
from engine.planner.stand import Stand, start

REFER_MINUTES = {"caller": 60.0, "technician_no_gas": 120.0, "technician": 1200.0}
"""What a referral costs. For a licensed technician: two and a half working days until somebody who
knows this boiler better has come, and a house cold meanwhile. For the others: the way of the person
who comes, to which that person's own work is added. Judgement."""

DOUBT_MINUTES = 40.0
"""Minutes that each bit of uncertainty costs the licensed person to whom a visit is handed over.
Over 157 places of advised visits that person's expected minutes rose by 79 a bit; half of it, for a
caller's patience is short. Judgement."""

HANDED_ON = 0.5
"""The most that others' work counts at a repair that hands on to the right trade, as a share of a
referral: with the reason found it is never as dear as one without. Judgement."""

KEPT, MOST_SETS = 0.9995, 250
"""Belief mass that the planner looks at, and in how many sets at the most; the rarest sets are left
out for speed. Judgement."""


def beyond_hands(knowledge: Knowledge, action: str, who: str) -> float:
    """What an action costs beside one's own minutes: its parts, and the work of others."""
    entry = knowledge.actions[action]
    return entry.price + min(entry.others_minutes, HANDED_ON * REFER_MINUTES[who])


def proof_minutes(knowledge: Knowledge, actions: Collection[str]) -> tuple[float, float]:
    """Minutes for proving one of these repairs by the closing steps that every repair obliges: up
    to the verdict, and after a good one."""
    minutes = {name: minutes_to_prove(knowledge, name) for name in at_the_end(knowledge, actions)}
    verdict = sum(
        taken
        for name, taken in minutes.items()
        if gives_verdict(knowledge, name) or knowledge.closing[name].before_firing
    )
    return verdict, sum(minutes.values()) - verdict


@dataclass(frozen=True, eq=False)
class Situation:
    """A problem and the one place in it where a visit stands.

    Attributes
    ----------
    problem : Problem
    at : Stand
        One place.
    justified_for : mapping of action to frozenset of causes
        For which of its causes the findings justify an action now.
    """

    problem: Problem
    at: Stand
    justified_for: Mapping[str, frozenset[str]]


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
    unproven: Collection[str] = (),
    pending: bool = False,
    before: Mapping[str, float] = MappingProxyType({}),
) -> Situation:
    """The planner's view of a visit.

    Parameters
    ----------
    made : collection of str
        Checks whose answer still holds; making them again brings nothing until a repair may have
        changed what they show.
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
    unproven : collection of str
        Those of them that were done since the last proof run.
    pending : bool
        Whether a repair waits for its proof.
    before : mapping of action to float
        Minutes of the checks that must still be made before an action.
    """
    space = belief.space
    rows, causes, sets = _kept(belief)
    names = tuple(space.network.causes[c] for c in causes)
    weights = belief.weights[rows] / belief.weights[rows].sum()
    layers = layers_of(knowledge)
    gone = frozenset(tried).union(*(_supersedes(knowledge)[action] for action in tried))
    # What waits for its proof stays in view: something may wait for it.
    actions = _actions(knowledge, who, facts, {*unable, *(gone - set(unproven))}, names)
    again = frozenset().union(*(graphs.changed_by(knowledge.graph, name) for name in actions))
    tables = {}
    for name, check in knowledge.checks.items():
        if (
            name in space.network.background
            and space.bears[name][causes].any()
            and not check.derived
            and (name not in made or name in again)
            and name not in unable
            and _allowed(knowledge, who, "checks", name)
        ):
            sure = reliability(knowledge, name, who)
            table = space.foreseen(name, rows)
            table = sure * table + (1 - sure) / table.shape[1]
            if np.ptp(table[weights > 0], axis=0).max() > 1e-9:
                tables[name] = table
    checks = _checks(knowledge, layers, tables, len(rows))
    pointed = frozenset().union(*(_paths(knowledge, *finding) for finding in found))
    justified_for = {
        action: frozenset(
            cause
            for cause in _mends(knowledge)[action].keys() & set(names)
            if (cause, action) in pointed or action not in _held_back(knowledge)
        )
        for action in actions
    }
    repairs = _repairs(knowledge, who, layers, actions, names, checks, justified_for, before)
    verdict, closing = proof_minutes(knowledge, actions or tuple(knowledge.actions))
    problem = Problem(
        causes=names,
        sets=sets,
        checks=checks,
        repairs=repairs,
        layers=layers,
        proof_minutes=verdict,
        closing_minutes=closing,
        refer_minutes=REFER_MINUTES[who],
        chief=None if space.chief is None else _by_cause(space.chief[rows], sets, len(causes)),
        catches=1 - PROOF_PASSES["faulty"],
        missed_minutes=REFER_MINUTES[who],
        doubt_minutes=DOUBT_MINUTES if who != "technician" else 0.0,
    )
    at = start(problem, weights, layers.mask({*opened, *map(obligation, obliged)}))
    at.pending[:] = pending
    at.unproven[:] = [action in unproven for action in actions]
    at.tried[:] = [action in gone for action in actions]
    at.made[:] = [name in made for name in problem.checks.names]
    return Situation(problem, at, justified_for)


def _kept(belief: Belief):
    """(rows of the heaviest sets with all that mending them leads to, their causes, sets)."""
    space, weights = belief.space, belief.weights
    order = np.argsort(-weights, kind="stable")
    count = int(np.searchsorted(np.cumsum(weights[order]), KEPT * weights.sum())) + 1
    rows = {0, *map(int, order[: min(count, MOST_SETS)])}
    waiting = list(rows)
    while waiting:
        row = waiting.pop()
        for left in space.without[row][space.sets[row] < len(space.network.causes)]:
            if int(left) not in rows:
                rows.add(int(left))
                waiting.append(int(left))
    rows = np.array(sorted(rows))
    causes = np.flatnonzero(space.members[rows].any(axis=0))
    place = np.full(len(space.network.causes) + 1, len(causes))
    place[causes] = np.arange(len(causes))
    return rows, causes, place[space.sets[rows]]


def _by_cause(values, sets, causes: int) -> np.ndarray:
    """Values of each place of the sets, (m, width), by the cause that stands there, (m, n)."""
    result = np.zeros((len(sets), causes + 1))
    result[np.arange(len(sets))[:, None], sets] = values
    return result[:, :-1]


@lru_cache(maxsize=4)
def _mends(knowledge: Knowledge) -> Mapping[str, Mapping[str, float]]:
    """For each action, the causes that it mends and how surely."""
    mends: dict[str, dict[str, float]] = {name: {} for name in knowledge.actions}
    for cause, entry in knowledge.causes.items():
        for action, word in entry.mended_by.items():
            mends[action][cause] = knowledge.probability(word)
    return mends


@lru_cache(maxsize=4)
def _supersedes(knowledge: Knowledge) -> Mapping[str, frozenset[str]]:
    """For each action, those that mend nothing which it does not mend at least as surely, and
    something less surely or not at all."""
    mends = _mends(knowledge)
    beside = {
        action: {other for cause in more for other in knowledge.causes[cause].mended_by}
        for action, more in mends.items()
    }
    return {
        action: frozenset(
            other
            for other in beside[action]
            if mends[other] != more
            and all(more.get(cause, 0.0) >= p for cause, p in mends[other].items())
        )
        for action, more in mends.items()
    }


def _actions(knowledge, who, facts, unable, causes) -> tuple[str, ...]:
    """The actions that this person may do for one of the causes."""
    return tuple(
        action
        for action, mends in _mends(knowledge).items()
        if mends.keys() & set(causes)
        and action not in unable
        and safety.possible(knowledge, facts, "actions", action)
        and _allowed(knowledge, who, "actions", action)
    )


def _checks(knowledge, layers, tables, sets) -> Checks:
    wanted, shut = _access(knowledge, layers, [knowledge.checks[name] for name in tables])
    return Checks(
        names=tuple(tables),
        minutes=np.array([knowledge.checks[name].minutes for name in tables], dtype=float),
        wanted=wanted,
        shut=shut,
        shows=np.concatenate(list(tables.values()), axis=1) if tables else np.zeros((sets, 0)),
        first=np.cumsum([0, *(table.shape[1] for table in tables.values())]),
    )


def _repairs(knowledge, who, layers, actions, causes, checks, justified_for, before) -> Repairs:
    steps = [knowledge.actions[action] for action in actions]
    wanted, shut = _access(knowledge, layers, steps)
    mends = _mends(knowledge)
    justifies = np.zeros((len(checks.owner), len(actions)), dtype=bool)
    place = {action: r for r, action in enumerate(actions) if not justified_for[action]}
    columns = [(name, o) for name in checks.names for o in knowledge.checks[name].outcomes]
    for column, (check, outcome) in enumerate(columns):
        for cause, action in _paths(knowledge, check, outcome):
            if action in place and cause in causes:
                justifies[column, place[action]] = True
    return Repairs(
        names=actions,
        minutes=np.array(
            [
                step.minutes + beyond_hands(knowledge, name, who) + before.get(name, 0.0)
                for name, step in zip(actions, steps, strict=True)
            ],
            dtype=float,
        ),
        works=np.array([[mends[a].get(c, 0.0) for c in causes] for a in actions]).reshape(
            -1, len(causes)
        ),
        wanted=wanted,
        shut=shut,
        justified=np.array([bool(justified_for[a]) for a in actions], dtype=bool),
        justifies=justifies,
        refreshes=_flags([graphs.changed_by(knowledge.graph, a) for a in actions], checks.names),
        supersedes=_flags([_supersedes(knowledge)[a] for a in actions], actions),
    )


def _flags(chosen, names) -> np.ndarray:
    """Which of the names each collection holds; bool, shape (collections, names)."""
    place = {name: i for i, name in enumerate(names)}
    flags = np.zeros((len(chosen), len(names)), dtype=bool)
    for row, some in zip(flags, chosen, strict=True):
        row[[place[name] for name in some if name in place]] = True
    return flags


_allowed = lru_cache(maxsize=4096)(safety.allowed)  # the same few hundred at every step


@lru_cache(maxsize=4)
def _held_back(knowledge: Knowledge) -> frozenset[str]:
    """Actions that may not come before a finding that points at what they mend."""
    return frozenset(a for a in knowledge.actions if safety.needs_justification(knowledge, a))


@lru_cache(maxsize=4096)
def _paths(knowledge, check, outcome) -> frozenset[tuple[str, str]]:
    return frozenset(graphs.evidence_paths(knowledge.graph, check, outcome))


def _access(knowledge, layers, steps):
    pairs = [needed(knowledge, layers, step) for step in steps]
    empty = np.zeros((0, len(layers.names)), dtype=bool)
    if not pairs:
        return empty, empty
    return np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])

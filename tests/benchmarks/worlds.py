"""Drawn boilers, and the planner's problem of the complaint that is made of them.

A *setting* is one complaint on the shipped knowledge: the planner's problem with every fault set
that the belief holds, and what is prevented on a boiler that behaves as complained of. A *world* is
one boiler: its faults, what each check would show in each epoch, which repairs would mend what,
which proofs would pass. All is drawn beforehand by the boiler's own generator, each draw in its
place, so two policies that ask the same boiler the same thing hear the same answer (common random
numbers). An *epoch* is the number of repairs done so far; what a check would show is drawn for
each.
"""

import contextlib
import importlib
import sys
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import lru_cache
from hashlib import blake2b

import numpy as np

from engine import safety
from engine.belief.network import Network
from engine.belief.observers import reliability
from engine.belief.posterior import Space
from engine.knowledge import Knowledge
from engine.planner.problem import Problem
from engine.planner.stand import Stand
from engine.visit.keeping import knowledge
from tests.benchmarks import boilers

situations = importlib.import_module("engine.planner.situation")  # the package has its function

EPOCHS = 8
"""For how many repairs the answers are drawn anew; further ones hear the last answers again."""

NOISE = np.log(2.0)
"""Standard deviation of the logarithm of what a disturbed figure is multiplied by."""


@dataclass(frozen=True, eq=False)
class Setting:
    """One complaint; n causes, t checks with TK outcomes in all, r repairs.

    Attributes
    ----------
    problem : Problem
        With all fault sets; this one is paid by.
    at : Stand
        A fresh visit, one place.
    works : ndarray, shape (r, n)
        By the causes of the network.
    sure : ndarray, shape (t,)
        How often the outcome is reported rightly.
    blocked_checks, blocked_repairs : ndarray of bool, shapes (t,) and (r,)
        What the complaint prevents until a watched start or a repair shows otherwise.
    speaks : ndarray of bool, shape (TK,)
        Whether the outcome's check says what is prevented.
    bars_checks, bars_repairs : ndarray of bool, shapes (TK, t) and (TK, r)
        What an outcome prevents.
    danger : ndarray of bool, shape (TK,)
        Outcomes that are danger signs.
    bearing : ndarray of bool, shape (t,)
        Checks that some cause of the complaint shows in.
    """

    known: Knowledge
    complaint: str
    network: Network
    problem: Problem
    at: Stand
    works: np.ndarray
    sure: np.ndarray
    blocked_checks: np.ndarray
    blocked_repairs: np.ndarray
    speaks: np.ndarray
    bars_checks: np.ndarray
    bars_repairs: np.ndarray
    danger: np.ndarray
    bearing: np.ndarray

    @property
    def digest(self) -> str:
        """Changes with anything that the outcome of visits depends on, the policies apart."""
        parts = (
            self.problem, self.at, self.network, self.sure, self.blocked_checks,
            self.blocked_repairs, self.speaks, self.bars_checks, self.bars_repairs, self.danger,
        )  # fmt: skip
        return blake2b(b"".join(map(_bytes, parts)), digest_size=8).hexdigest()


def _bytes(value) -> bytes:
    """All figures and names in a value, whatever it is made of."""
    if is_dataclass(value):
        return b"".join(_bytes(getattr(value, field.name)) for field in fields(value))
    if isinstance(value, Mapping):
        return b"".join(_bytes(pair) for pair in value.items())
    if isinstance(value, np.ndarray):
        return np.round(value.astype(float), 9).tobytes()
    if isinstance(value, tuple):
        return b"".join(map(_bytes, value))
    return repr(value).encode()


@lru_cache(maxsize=2)
def setting(complaint: str) -> Setting:
    """The setting of a complaint on the shipped knowledge."""
    known = knowledge()
    network = boilers.everything(known, complaint)
    problem, at = _planned(known, complaint, network)
    names = problem.checks.names
    columns = [(name, o) for name in names for o in known.checks[name].outcomes]
    outcomes = [known.checks[name].outcomes[o] for name, o in columns]
    stops = [any(o.prevents for o in known.checks[name].outcomes.values()) for name, _ in columns]
    suspects = np.flatnonzero(network.chief[0, :-1])

    def behind(states):
        return (
            _behind(known, states, "checks", names),
            _behind(known, states, "actions", problem.repairs.names),
        )

    checks, repairs = behind(known.symptoms[complaint].prevents)
    barred = [behind(outcome.prevents) for outcome in outcomes]
    works = np.zeros((len(problem.repairs.names), len(network.causes)))
    works[:, [network.causes.index(c) for c in problem.causes]] = problem.repairs.works
    return Setting(
        known=known,
        complaint=complaint,
        network=network,
        problem=problem,
        at=at,
        works=works,
        sure=np.array([reliability(known, name, boilers.WHO) for name in names]),
        blocked_checks=checks,
        blocked_repairs=repairs,
        speaks=np.array(stops),
        bars_checks=np.array([b[0] for b in barred]),
        bars_repairs=np.array([b[1] for b in barred]),
        danger=np.array([o.danger is not None for o in outcomes]),
        bearing=np.array([(network.effects[name][suspects, 0] < 1).any() for name in names]),
    )


def _behind(known, states, kind, names):
    return np.array(
        [bool(set(states) & set(safety.opened_for(known, kind, name))) for name in names]
    )


def _planned(known, complaint, network) -> tuple[Problem, Stand]:
    """The planner's problem of a fresh visit with no fault set left out."""
    unable = {
        name
        for name, check in known.checks.items()
        if check.only_with and complaint not in check.only_with
    }
    with _nothing_left_out():
        now = situations.situation(
            known, Space(network).belief(), who=boilers.WHO, facts=boilers.FACTS,
            made=(), found=(), unable=unable, opened=(),
        )  # fmt: skip
    return now.problem, now.at


@contextlib.contextmanager
def _nothing_left_out():
    before = situations.KEPT, situations.MOST_SETS
    situations.KEPT, situations.MOST_SETS = 1.0, sys.maxsize
    try:
        yield
    finally:
        situations.KEPT, situations.MOST_SETS = before


@lru_cache(maxsize=2)
def disturbed(of: Setting, seed: int) -> tuple[Problem, Stand]:
    """What somebody plans with whose figures are off by a factor of two, up or down.

    The odds of every probability and all minutes are multiplied by log-normal noise of `NOISE`:
    how common causes are, what they show, which repairs mend them, how long steps, opening and
    proving take. Not disturbed: what a referral costs, how sure an observer and a proof are.
    """
    dice = np.random.default_rng([seed, zlib.crc32(of.complaint.encode()), 1])

    def off(values):
        return values * np.exp(NOISE * dice.standard_normal(np.shape(values)))

    def shifted(chance):
        odds = off(np.ones(np.shape(chance)))
        return chance * odds / (1 - chance + chance * odds)

    def rows(cumulative):
        chance = shifted(np.diff(cumulative, axis=-1, prepend=0.0))
        total = np.cumsum(chance / chance.sum(axis=-1, keepdims=True), axis=-1)
        total[..., -1] = 1.0
        return total

    net = of.network
    chief = off(net.chief)
    network = replace(
        net,
        chief=chief / chief.sum(axis=1, keepdims=True),
        standing=shifted(net.standing),
        promoted={pair: float(shifted(p)) for pair, p in net.promoted.items()},
        background={name: rows(table) for name, table in net.background.items()},
        effects={name: rows(table) for name, table in net.effects.items()},
    )
    problem, at = _planned(of.known, of.complaint, network)
    same = of.problem
    if (problem.checks.names, problem.repairs.names) != (same.checks.names, same.repairs.names):
        raise AssertionError("noise has taken a step away")
    return replace(
        problem,
        checks=replace(problem.checks, minutes=off(problem.checks.minutes)),
        repairs=replace(
            problem.repairs,
            minutes=off(problem.repairs.minutes),
            works=shifted(problem.repairs.works),
        ),
        layers=replace(problem.layers, minutes=off(problem.layers.minutes)),
        proof_minutes=float(off(problem.proof_minutes)),
        closing_minutes=float(off(problem.closing_minutes)),
    ), at


@dataclass(frozen=True, eq=False)
class Worlds:
    """N drawn boilers.

    Attributes
    ----------
    chief : ndarray of int, shape (N,)
        The cause that brought the complaint.
    faults : ndarray of bool, shape (N, n)
    answers : ndarray, shape (N, t, EPOCHS)
        Uniform draws.
    mended : ndarray of bool, shape (N, r, n)
        Whether a repair would mend a cause.
    proofs : ndarray, shape (N, r + 1)
        Uniform draws, by epoch.
    """

    chief: np.ndarray
    faults: np.ndarray
    answers: np.ndarray
    mended: np.ndarray
    proofs: np.ndarray

    @classmethod
    def drawn(cls, of: Setting, seed: int, numbers: range) -> "Worlds":
        """The boilers of a complaint that have these numbers."""
        net, works = of.network, of.works
        n, (r, t) = len(net.causes), (len(works), len(of.problem.checks.names))
        place = np.cumsum([1, n, t * EPOCHS, np.count_nonzero(works), r + 1])
        key = [seed, zlib.crc32(of.complaint.encode()), 0]
        dice = np.array([np.random.default_rng([*key, i]).random(place[-1]) for i in numbers])
        visits = len(numbers)
        below = np.cumsum(net.chief[0])
        chief = np.searchsorted(below, dice[:, 0] * below[-1], side="right")
        prevalence = np.tile(net.standing, (n, 1))
        for pair, p in net.promoted.items():
            prevalence[pair] = p
        faults = dice[:, place[0] : place[1]] < prevalence[chief]
        faults[np.arange(visits), chief] = True
        mended = np.zeros((visits, r, n), dtype=bool)
        mended[:, works > 0] = dice[:, place[2] : place[3]] < works[works > 0]
        answers = dice[:, place[1] : place[2]].reshape(visits, t, EPOCHS)
        return cls(chief, faults, answers, mended, dice[:, place[3] :])

"""How the wait for the next step grows with the knowledge, up to 1,000 causes and 1,500 checks.

    OMP_NUM_THREADS=1 python -m tests.benchmarks.scale [--causes 1000 --checks 1500] [--ways a b]

Large knowledge is made of copies of the shipped one, so it is as sparse: a copied cause shows, is
mended and stands beside others as its original does, and which copy of each of its checks it
shows on is drawn with a seed. The densities of both are printed. There are two ways to grow.

a   The knowledge grows and what is relevant to the complaint stays: the copies have complaints
    and checks of their own, the originals keep theirs. The wait should stay flat.
b   What is relevant grows along: copies are brought by the same complaint and share all checks.
    The wait should grow no faster than relevant causes times the checks that bear on them; the
    exponent is that of time over this product, fitted to all sizes by least squares.

Each visit is to a boiler drawn from the grown model and follows the advice. After every answer the
whole way is timed, in processor time of one thread: belief from all events ("think"), what can be
done ("situation"), and the ranking ("rank"); the next step is their sum. A network is built when a
finding brings in new causes, and counted then. A size ends early with the first step that passes
`--patience` seconds.
"""

import argparse
import os
import random
import statistics
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np

from engine.belief.network import UNLISTED
from engine.knowledge import Knowledge, schema
from engine.knowledge import graph as graphs
from engine.visit.keeping import knowledge
from tests.benchmarks.speed import walk

SHARES = (1 / 8, 1 / 4, 1 / 2, 1)
"""Sizes, as shares of the largest."""

STEPS = 10
"""Steps of one visit."""

WANTED = 1.0
"""Seconds for the next step at the largest size."""

HEAD = (
    f"{'causes':>7}{'checks':>7} |{'causes':>8}{'checks':>7}{'sets':>7}{'belief%':>8}{'checks':>8}"
    f" |{'steps':>5}{'think':>8}{'situat.':>8}{'rank':>8} |{'next':>8}{'95 %':>8}{'most':>8}"
)


# --- knowledge that grows --------------------------------------------------------------------


class Copies:
    """Copies of the shipped knowledge, cut to a number of causes and checks.

    Parameters
    ----------
    known : Knowledge
    causes, checks : int
    together : bool
        Whether copies are brought by the same complaints and share checks (way b).
    seed : int
    """

    def __init__(self, known: Knowledge, causes: int, checks: int, together: bool, seed: int = 1):
        self.known, self.together, self.dice = known, together, random.Random(seed)
        self.checks = self._copied("checks", checks)
        names = self._copied("causes", causes)
        self.causes = {name: self._cause(*where, names) for name, where in names.items()}

    def _copied(self, kind: str, count: int) -> dict[str, tuple[str, int]]:
        """Original and number of each copy, by its name; the originals are copy 0."""
        entries = getattr(self.known, kind)
        every = [(name, copy) for copy in range(-(-count // len(entries))) for name in entries]
        return {_named(*pair): pair for pair in every[:count]}

    def _cause(self, original: str, copy: int, causes) -> schema.Cause:
        cause = self.known.causes[original]
        with_it = 0 if self.together else copy
        return cause.model_copy(
            update={
                "shows": {self._check(check, copy): shown for check, shown in cause.shows.items()},
                "seen_with": {_named(s, with_it): word for s, word in cause.seen_with.items()},
                "mended_by": {_named(a, copy): word for a, word in cause.mended_by.items()},
                "promotes": {
                    name: word
                    for other, word in cause.promotes.items()
                    if (name := _named(other, copy)) in causes
                },
            }
        )

    def _check(self, original: str, copy: int) -> str:
        """A copy of the check on which this copy of a cause shows."""
        apart = not self.together
        if apart and copy == 0:
            return original
        copies = [c for name, c in self.checks.values() if name == original and c >= apart]
        return _named(original, self.dice.choice(copies)) if copies else original

    def knowledge(self) -> Knowledge:
        """The grown knowledge, its graph built anew."""
        known = self.known
        wanted = {
            "actions": [a for cause in self.causes.values() for a in cause.mended_by],
            "symptoms": [s for cause in self.causes.values() for s in cause.seen_with],
        }
        grown = {
            kind: {name: getattr(known, kind)[_original(name)] for name in dict.fromkeys(names)}
            for kind, names in wanted.items()
        }
        grown["causes"] = self.causes
        grown["checks"] = {name: known.checks[pair[0]] for name, pair in self.checks.items()}
        entries = {kind: getattr(known, kind) for kind in schema.KINDS} | grown
        return replace(known, **grown, graph=graphs.build(entries))


def _named(original: str, copy: int) -> str:
    return f"{original}__{copy}" if copy else original


def _original(name: str) -> str:
    return name.partition("__")[0]


def densities(known: Knowledge) -> str:
    """What makes a knowledge sparse, in one line."""
    causes, checks = known.causes.values(), known.checks.values()
    bearing = Counter(check for cause in causes for check in cause.shows)
    brings = Counter(s for cause in causes for s in cause.seen_with)
    mends = Counter(a for cause in causes for a in cause.mended_by)
    means = {
        "checks per cause": [len(cause.shows) for cause in causes],
        "causes per check": bearing.values(),
        "outcomes per check": [len(check.outcomes) for check in checks],
        "faulty ones per cause and check": [len(o) for c in causes for o in c.shows.values()],
        "causes per complaint": brings.values(),
        "causes per action": mends.values(),
        "covers before a check": [len(graphs.opening_order(known.graph, c.access)) for c in checks],
    }
    return f"{len(causes)} causes, {len(checks)} checks, {len(known.actions)} actions; mean " + (
        ", ".join(f"{what} {np.mean([*values]):.1f}" for what, values in means.items())
    )


# --- visits ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Wait:
    """Milliseconds up to one next step, and how much was looked at for it."""

    think: float
    situation: float
    rank: float
    step: float
    causes: int
    checks: int
    sets: int
    share: float
    looked_at: int


def waits(known: Knowledge, complaint: str, seed: str, patience: float) -> Iterator[Wait]:
    """One advised visit; it ends with the first step that takes too long."""
    for moment in walk(known, complaint, seed, STEPS):
        belief, problem = moment.thought.belief, moment.now.problem
        causes, heaviest = belief.space.network.causes, np.sort(belief.weights)[::-1]
        yield Wait(
            think=moment.think,
            situation=moment.situation,
            rank=moment.rank,
            step=moment.step,
            causes=len(causes) - 1,
            checks=len(telling(known, causes)),
            sets=len(problem.sets),
            share=100 * heaviest[: len(problem.sets)].sum(),
            looked_at=len(problem.checks.names),
        )
        if moment.step > patience:
            return


def telling(known: Knowledge, causes) -> set[str]:
    """Checks on which one of the causes shows."""
    return {check for name in causes if name != UNLISTED for check in known.causes[name].shows}


# --- the tables ------------------------------------------------------------------------------


def size(known: Knowledge, complaint: str, visits: int, patience: float) -> list[Wait]:
    """Print one row; all waits of some visits."""
    found: list[Wait] = []
    for number in range(visits):
        found += waits(known, complaint, f"scale {complaint} {number}", patience)
        if found[-1].step > patience:
            break  # the others would take as long
    middle = {f.name: statistics.median(getattr(w, f.name) for w in found) for f in fields(Wait)}
    steps = [wait.step for wait in found]
    print(
        f"{len(known.causes):>7}{len(known.checks):>7} |{middle['causes']:>8.0f}"
        f"{middle['checks']:>7.0f}{middle['sets']:>7.0f}{middle['share']:>8.1f}"
        f"{middle['looked_at']:>8.0f} |"
        f"{len(found):>5}{middle['think']:>8.0f}{middle['situation']:>8.0f}{middle['rank']:>8.0f} |"
        f"{middle['step']:>8.0f}{np.percentile(steps, 95):>8.0f}{max(steps):>8.0f}",
        flush=True,
    )
    return found


def exponent(found: list[list[Wait]]) -> float:
    """Of the median time over relevant causes times checks, by least squares of the logarithms."""
    work = [statistics.median(w.causes * w.checks for w in waits) for waits in found]
    steps = [statistics.median(w.step for w in waits) for waits in found]
    return float(np.polyfit(np.log(work), np.log(steps), 1)[0])


def main(arguments: list[str] | None = None) -> None:
    """Print a table for each way of growing."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--causes", type=int, default=1000, help="at the largest size")
    parser.add_argument("--checks", type=int, default=1500, help="at the largest size")
    parser.add_argument("--ways", nargs="*", default=["a", "b"], choices=["a", "b"])
    parser.add_argument("--complaint", default="locks_out_no_flame")
    parser.add_argument("--visits", type=int, default=2, help="for each size")
    parser.add_argument("--patience", type=float, default=20.0, help="seconds for one step")
    options = parser.parse_args(arguments)
    patience = 1000 * options.patience
    known = knowledge()
    print(f"load of the machine: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    print(f"shipped: {densities(known)}")
    for way in options.ways:
        print(
            f"\nway {way}, {options.complaint}: relevant causes and checks; sets that the planner "
            f"looks at, the belief\nin them, checks; milliseconds, medians, for the next step also "
            f"95 % and most\n{HEAD}"
        )
        found = [size(known, options.complaint, options.visits, patience)]
        for share in SHARES:
            causes, checks = round(options.causes * share), round(options.checks * share)
            grown = Copies(known, causes, checks, together=way == "b").knowledge()
            found.append(size(grown, options.complaint, options.visits, patience))
            if found[-1][-1].step > patience:
                print(f"a step took longer than {options.patience:g} s: larger ones are left out")
                break
        print(f"grown: {densities(grown)}")
        if way == "b":
            print(f"time grows as (relevant causes x checks) to the power {exponent(found):.2f}")
        p95 = np.percentile([wait.step for wait in found[-1]], 95) / 1000
        verdict = "within" if p95 <= WANTED else "NOT within"
        print(f"next step with {causes} causes, 95 %: {p95:.2f} s, {verdict} {WANTED:g} s")


if __name__ == "__main__":
    main()

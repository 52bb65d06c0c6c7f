"""Ways to choose the next step beside the exact optimum, on small problems drawn at random.

    python -m tests.benchmarks.planner [--instances 40] [--seed 1] [--jobs 1]

Two families, each in four blocks: without and with covers to open, with one fault or up to two.

*sharp*  8 causes, a perfect repair each of U(2, 20) minutes, 6 checks of U(1, 6) whose two answers
         are sure, prior weights Exp(1)^1.5 + 0.01, no proof, referral out of reach; with covers,
         each step lies outside or behind one of 3 that cost U(3, 15)
*trade*  6 causes and 5 checks (up to two faults: 5 and 4) of two or three answers, each cause's row
         from a Dirichlet distribution, repairs that work with 0.8, 0.95 or 1, a proof of U(0, 10)
         minutes, referral at 100; with covers, 3 of them, one within another, that must be shut
         for a proof or not

With up to two faults the prior probabilities are U(0.02, 0.3).

The columns are gaps to the optimum in per cent over the instances, mean, 95th percentile and worst,
processor seconds for each instance, and the share of instances in which a row is the optimum. All
figures are exact expectations, nothing is simulated. Information gain is shown until the cause is
identified (0.999) and with the threshold that is best for the block. ``--show FAMILY BLOCK SEED``
prints an instance as a problem for ``python -m engine plan``, such as the worst of ours, which
stands under each block.
"""

import argparse
import json
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial

import numpy as np

from engine.planner.evaluation import expected
from engine.planner.exact import all_knowing, optimum
from engine.planner.neutral import read
from engine.planner.policies import POLICIES, information_gain
from engine.planner.stand import start

BLOCKS = {
    "open, one fault": (False, "one"),
    "covers, one fault": (True, "one"),
    "open, up to two": (False, "up_to_two"),
    "covers, up to two": (True, "up_to_two"),
}
OUT_OF_REACH = 10_000.0  # minutes
THRESHOLDS = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.999)
"""Of information gain; from the last one on, a cause is identified."""


def sharp(dice, covers: bool, faults: str) -> dict:
    """A problem with perfect repairs and checks that do not err."""
    n, t = 8, 6
    names, access = _covers(dice, covers, nested=False)
    causes = [
        {
            "id": f"c{i}",
            "prior": prior,
            "repair": {"minutes": _u(dice, 2, 20), "access": _one_of(dice, names)},
        }
        for i, prior in enumerate(_priors(dice, n, faults))
    ]
    checks = [
        {
            "id": f"t{j}",
            "minutes": _u(dice, 1, 6),
            "access": _one_of(dice, names),
            "outcomes": ["no", "yes"],
            "otherwise": [1.0, 0.0],
            "given": {f"c{i}": [0.0, 1.0] for i in range(n) if dice.integers(2)},
        }
        for j in range(t)
    ]
    return {
        "causes": causes,
        "checks": checks,
        "access": access,
        "refer": {"minutes": OUT_OF_REACH},
        "faults": faults,
    }


def trade(dice, covers: bool, faults: str) -> dict:
    """A problem with everything that the trade has."""
    n, t = (6, 5) if faults == "one" else (5, 4)
    names, access = _covers(dice, covers, nested=True)
    causes = [
        {
            "id": f"c{i}",
            "prior": prior,
            "repair": {
                "minutes": _u(dice, 2, 20),
                "works": _one_of(dice, [0.8, 0.95, 1.0]),
                "access": _one_of(dice, names),
            },
        }
        for i, prior in enumerate(_priors(dice, n, faults))
    ]
    checks = []
    for j in range(t):
        answers = 2 if dice.random() < 0.7 else 3
        checks.append(
            {
                "id": f"t{j}",
                "minutes": _u(dice, 1, 6),
                "access": _one_of(dice, names),
                "outcomes": ["healthy", "bad", "worse"][:answers],
                "otherwise": [1.0] + [0.0] * (answers - 1),
                "given": {
                    f"c{i}": [float(p) for p in dice.dirichlet([0.25] * answers)] for i in range(n)
                },
            }
        )
    return {
        "causes": causes,
        "checks": checks,
        "access": access,
        "proof": {"minutes": _u(dice, 0, 10)},
        "refer": {"minutes": 100.0},
        "faults": faults,
    }


FAMILIES = {"sharp": sharp, "trade": trade}


def drawn(family: str, block: str, seed: int) -> dict:
    """One problem in the form of ``python -m engine plan``.

    Examples
    --------
    >>> len(drawn("trade", "covers, up to two", 7)["causes"])
    5
    """
    place = [list(FAMILIES).index(family), list(BLOCKS).index(block)]
    return FAMILIES[family](np.random.default_rng([seed, *place]), *BLOCKS[block])


def _u(dice, least, most) -> float:
    return float(dice.uniform(least, most))


def _one_of(dice, some):
    return some[int(dice.integers(len(some)))]


def _priors(dice, n, faults) -> list[float]:
    if faults == "up_to_two":
        return [float(p) for p in dice.uniform(0.02, 0.3, n)]
    weights = dice.exponential(size=n) ** 1.5 + 0.01
    return [float(p) for p in weights / weights.sum()]


def _covers(dice, covers, nested):
    if not covers:
        return [None], {}
    access = {}
    for i in range(3):
        cost = _u(dice, 3, 15)
        access[f"g{i}"] = {
            "within": "g0" if nested and i == 2 else None,
            "open": cost / 2,
            "close": cost / 2,
            "shut_to_run": nested and bool(dice.integers(2)),
        }
    return [None, *access], access


def priced(data: dict) -> dict[str, tuple[float, float]]:
    """For every row of the table (minutes, seconds that it took to find them).

    Examples
    --------
    >>> found = priced(drawn("sharp", "covers, one fault", 3))
    >>> found["all_knowing"][0] < found["optimum"][0] < found["paper_chart"][0]
    True
    """
    problem, weights = read(data)
    at = start(problem, weights)
    policies = {name: policy for name, policy in POLICIES.items() if policy is not information_gain}
    policies |= {_gain(sure): partial(information_gain, sure=sure) for sure in THRESHOLDS}
    ways = {
        name: partial(expected, problem, at, policy, most_places=10**7)
        for name, policy in policies.items()
    }
    ways["optimum"] = lambda: getattr(optimum(problem, at), "minutes", None)
    ways["all_knowing"] = lambda: all_knowing(problem, at)
    found = {}
    for name, way in ways.items():
        began = time.process_time()
        minutes = way()
        found[name] = np.nan if minutes is None else minutes, time.process_time() - began
    return found


def _gain(sure) -> str:
    return f"information gain to {sure:g}"


def block(family: str, name: str, seeds: range, jobs: int) -> str:
    """One block of the table; progress goes to the error stream."""
    problems = [drawn(family, name, seed) for seed in seeds]
    found = []
    with ProcessPoolExecutor(jobs) as pool:
        for one in pool.map(priced, problems) if jobs > 1 else map(priced, problems):
            found.append(one)
            said = f"\r{family}, {name}: {len(found)} of {len(seeds)}"
            print(said, end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return table(family, name, seeds, found)


def table(family: str, name: str, seeds: range, found: list[dict]) -> str:
    """One block in words."""
    minutes = {row: np.array([one[row][0] for one in found]) for row in found[0]}
    seconds = {row: np.mean([one[row][1] for one in found]) for row in found[0]}
    best = minutes["optimum"]
    gaps = {row: 100 * (m / best - 1)[np.isfinite(best)] for row, m in minutes.items()}
    surest = min(THRESHOLDS, key=lambda sure: gaps[_gain(sure)].mean())
    rows = {
        "paper chart": "paper_chart",
        "probability over cost": "probability_over_cost",
        "information gain": _gain(THRESHOLDS[-1]),
        f"the same to {surest:g} (best)": _gain(surest),
        "myopic": "myopic",
        "two steps": "two_step",
        "ours": "ours",
        "optimum": "optimum",
        "all-knowing": "all_knowing",
    }
    known = len(gaps["optimum"])
    lines = [
        f"{family}, {name}: {known} of {len(seeds)} instances, optimum {np.nanmean(best):.2f} min",
        f"{'':26}{'mean %':>9}{'p95 %':>9}{'worst %':>9}{'s each':>9}{'optimal %':>11}",
    ]
    for shown, row in rows.items():
        gap = gaps[row]
        lines.append(
            f"  {shown:24}{gap.mean():9.3f}{np.percentile(gap, 95):9.3f}{gap.max():9.3f}"
            f"{seconds[row]:9.3f}{100 * (abs(gap) < 1e-6).mean():11.1f}"
        )
    worst = int(np.nanargmax(minutes["ours"] / best))
    lines.append(
        f"  worst of ours: {100 * (minutes['ours'] / best - 1)[worst]:.2f} % at seed {seeds[worst]}"
    )
    return "\n".join(lines)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--instances", type=int, default=40, help="of each block")
    parser.add_argument("--seed", type=int, default=1, help="of the first instance")
    parser.add_argument("--jobs", type=int, default=1, help="processes at once")
    parser.add_argument("--families", nargs="+", choices=FAMILIES, default=list(FAMILIES))
    parser.add_argument("--blocks", nargs="+", choices=BLOCKS, default=list(BLOCKS))
    parser.add_argument("--show", nargs=3, metavar=("FAMILY", "BLOCK", "SEED"))
    options = parser.parse_args()
    if options.show:
        family, name, seed = options.show
        print(json.dumps(drawn(family, name, int(seed)), indent=1))
        return
    seeds = range(options.seed, options.seed + options.instances)
    print(f"python -m tests.benchmarks.planner {' '.join(sys.argv[1:])}")
    print(f"seeds {seeds[0]} to {seeds[-1]} in each block\n", flush=True)
    for family in options.families:
        for name in options.blocks:
            print(block(family, name, seeds, options.jobs) + "\n", flush=True)


if __name__ == "__main__":
    main()

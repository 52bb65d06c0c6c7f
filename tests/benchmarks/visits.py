"""Simulated visits on the shipped knowledge: what comes of following the advice, and other ways.

    OMP_NUM_THREADS=1 python -m tests.benchmarks.visits [--visits 2000] [--jobs 2] [--save FILE]

For every complaint that is no danger sign, boilers with hidden faults are drawn from the model, and
each policy (`tests.benchmarks.policies`) is followed to its end on the same boilers
(`tests.benchmarks.lockstep`): mended and proven, wrongly called mended, or referred. `price` is
what the planner tries to make small: minutes on site with opening and closing, and the price of a
referral for every end that leaves the fault in. `to ours` is the mean of the differences, boiler by
boiler, with its standard error. Danger signs are counted, they do not stop a visit. At the foot
stand two prices from below (`tests.benchmarks.bounds`); a run stops where one of them does not
hold.

Information gain is shown with the threshold that is best for the complaint on these same boilers,
which favours it, and until the cause is identified (0.999).

``--disturbed`` lets ours, base and information gain plan with figures that are off by a factor of
two, one disturbance for each complaint, on the same boilers and paid by the true minutes.

The boilers come from the same model that the advice is computed with, so this judges the planner,
not the knowledge. The belief looks at no more than two causes at once; boilers may have more.

``--save FILE`` adds each finished part to a file, a line of JSON each, and a later run goes on from
there; it knows whether the knowledge has changed, not whether the planner has. Policies may have
different numbers of visits in it. ``--table FILE`` prints the tables of such a file.
"""

import argparse
import json
import shlex
import sys
import time
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from engine.visit.keeping import knowledge
from tests.benchmarks.bounds import all_knowing, clairvoyant
from tests.benchmarks.lockstep import COUNTED, follow
from tests.benchmarks.policies import THRESHOLDS, gain, ways
from tests.benchmarks.worlds import Worlds, disturbed, setting

GAINS = tuple(map(gain, THRESHOLDS))
BOUNDS = ("all-knowing", "clairvoyant")
SHOWN = (
    "paper chart as listed", "paper chart", "probability over cost", "information gain, best",
    GAINS[-1], "myopic", "two steps", "base", "ours",
)  # fmt: skip
DISTURBED = ("ours", "base", *GAINS)
OFF = ", disturbed"
PART = 200
"""Boilers that are followed in one go."""

HEAD = ("visits", "price", "+-", "to ours", "+-", "minutes", "right%", "wrong%", "refer%",
        "checks", "repairs", "proofs", "doors", "danger%")  # fmt: skip

Result = dict[str, np.ndarray]


@dataclass(frozen=True)
class Part:
    """Some boilers of a complaint, for one policy to be followed on."""

    complaint: str
    policy: str
    seed: int
    first: int
    visits: int

    @property
    def place(self) -> tuple[str, str, int, int]:
        return self.complaint, self.policy, self.seed, self.first


def run(part: Part) -> dict:
    """What becomes of a part, as it is saved."""
    began = time.process_time()
    of = setting(part.complaint)
    worlds = Worlds.drawn(of, part.seed, range(part.first, part.first + part.visits))
    name = part.policy.removesuffix(OFF)

    def report(said):
        print(f"{part.complaint}, {part.policy} from {part.first}: {said}", file=sys.stderr)

    if name == "clairvoyant":
        result = {"price": clairvoyant(of, worlds)}
    elif name == "all-knowing":
        result = {"price": all_knowing(of)[worlds.chief]}
    else:
        planned = disturbed(of, part.seed) if part.policy.endswith(OFF) else None
        result = follow(of, worlds, ways()[name], planned, report)
    numbers = {key: [round(x, 6) for x in values.tolist()] for key, values in result.items()}
    seconds = round(time.process_time() - began, 2)
    return {**vars(part), "knowledge": of.digest, "seconds": seconds, **numbers}


def wanted(complaints, policies, seed: int, visits: int, done: dict) -> list[Part]:
    """The parts that are not done yet."""
    parts = [
        Part(complaint, policy, seed, first, min(PART, visits - first))
        for complaint in complaints
        for policy in policies
        for first in range(0, visits, PART)
    ]
    return [p for p in parts if p.place not in done or done[p.place]["visits"] < p.visits]


def saved(file: Path, seed: int | None = None) -> dict[tuple, dict]:
    """What a file holds, by `Part.place`; of two with the same place the larger."""
    done: dict[tuple, dict] = {}
    for line in file.read_text().splitlines() if file.exists() else ():
        one = json.loads(line)
        place = one["complaint"], one["policy"], one["seed"], one["first"]
        if place not in done or done[place]["visits"] < one["visits"]:
            done[place] = one
    if len({one["seed"] for one in done.values()} | ({seed} - {None})) > 1:
        raise SystemExit(f"{file} holds visits of another seed; give another file")
    return done


def gathered(done: dict[tuple, dict]) -> dict[str, dict[str, Result]]:
    """Results by complaint and policy, with `seconds` of processor time.

    Raises
    ------
    SystemExit
        Where the parts of a complaint come from different knowledge.
    """
    parts = defaultdict(list)
    digests = defaultdict(set)
    for (complaint, policy, _, _), one in sorted(done.items()):
        parts[complaint, policy].append(one)
        digests[complaint].add(one["knowledge"])
    mixed = [complaint for complaint, found in digests.items() if len(found) > 1]
    if mixed:
        raise SystemExit(f"visits on different knowledge: {', '.join(mixed)}")
    every: dict[str, dict[str, Result]] = defaultdict(dict)
    for (complaint, policy), some in parts.items():
        # Only what follows without a gap, so that the n-th is the same boiler for every policy.
        row, end = [], 0
        for one in some:
            if one["first"] == end:
                row.append(one)
                end += one["visits"]
        if row:
            keys = [key for key in COUNTED if key in row[0]]
            result = {key: np.concatenate([one[key] for one in row]) for key in keys}
            result["seconds"] = np.array(sum(one["seconds"] for one in row))
            every[complaint][policy] = result
    return every


def paired(one: Result, other: Result) -> tuple[float, float]:
    """Mean difference in price over the boilers that both met, and its standard error."""
    both = min(len(one["price"]), len(other["price"]))
    return mean_of(one["price"][:both] - other["price"][:both])


def mean_of(values: np.ndarray) -> tuple[float, float]:
    """Mean and its standard error."""
    if len(values) < 2:
        return float(values.mean()), float("nan")
    return float(values.mean()), float(values.std(ddof=1) / np.sqrt(len(values)))


def hold(results: dict[str, Result]) -> None:
    """Check the bounds of one complaint against every policy.

    Raises
    ------
    AssertionError
        Where one does not hold: the clairvoyant's on every boiler, the all-knowing repairer's in
        the mean, by more than four standard errors.
    """
    for name, result in results.items():
        if name in BOUNDS or not set(BOUNDS) <= set(results):
            continue
        least = results["clairvoyant"]["price"][: len(result["price"])]
        if not (least <= result["price"][: len(least)] + 1e-6).all():
            raise AssertionError(f"{name} is cheaper than the clairvoyant")
        above, error = paired(result, results["all-knowing"])
        if above < -4 * error:
            raise AssertionError(f"{name} is cheaper than the all-knowing repairer")


def rows_of(results: dict[str, Result]) -> dict[str, Result]:
    """The rows that are shown for one complaint, the best threshold for information gain."""
    every = dict(results)
    for off in ("", OFF):
        gains = [results[name + off] for name in GAINS if name + off in results]
        if gains:
            best = min(gains, key=lambda result: result["price"].mean())
            every["information gain, best" + off] = best
    shown = [*SHOWN, *(name + OFF for name in SHOWN if name != GAINS[-1]), *BOUNDS]
    return {name: every[name] for name in shown if name in every}


def cells(result: Result, ours: Result | None) -> list[float]:
    """The figures of one row, as `HEAD`; nan where there is none."""
    difference = paired(result, ours) if ours else (np.nan, np.nan)
    start = [len(result["price"]), *mean_of(result["price"]), *difference]
    if "end" not in result:
        return [*start, *[np.nan] * (len(HEAD) - len(start))]
    ends = [100 * np.mean(result["end"] == how) for how in (1, 2, 3)]
    means = [float(result[k].mean()) for k in ("checks", "repairs", "proofs", "doors")]
    return [*start, result["minutes"].mean(), *ends, *means, 100 * result["danger"].mean()]


def over_all(tables: list[dict[str, list[float]]]) -> dict[str, list[float]]:
    """Means over the complaints, each counting alike; of rows that every complaint has."""
    every = {}
    for name in tables[0]:
        if all(name in table for table in tables):
            row = np.array([table[name] for table in tables])
            mean, error = row.mean(axis=0), np.sqrt((row**2).sum(axis=0)) / len(row)
            mean[0], mean[[2, 4]] = row[:, 0].sum(), error[[2, 4]]
            every[name] = mean.tolist()
    return every


def printed(title: str, table: dict[str, list[float]]) -> str:
    """A table in words."""
    lines = [title, f"{'':36}" + "".join(f"{head:>9}" for head in HEAD)]
    digits = (0, 1, 1, 1, 1, 0, 1, 1, 1, 2, 2, 2, 2, 1)
    for name, row in table.items():
        shown = ("-" if np.isnan(x) else f"{x:.{d}f}" for x, d in zip(row, digits, strict=True))
        lines.append(f"  {name:34}" + "".join(f"{cell:>9}" for cell in shown))
    return "\n".join(lines)


def tables(every: dict[str, dict[str, Result]]) -> str:
    """All tables, ratios and what disturbed figures cost."""
    said, one_by_one, costs = [], [], defaultdict(list)
    for complaint, results in every.items():
        hold(results)
        rows = rows_of(results)
        one_by_one.append({name: cells(row, rows.get("ours")) for name, row in rows.items()})
        said.append(printed(complaint, one_by_one[-1]))
        for name, row in rows.items():
            if name + OFF in rows:
                costs[name].append(paired(rows[name + OFF], row))
    total = over_all(one_by_one)
    said.append(printed(f"all complaints, {len(every)}, each counting alike", total))
    for other in ("paper chart", "information gain, best", "all-knowing", "clairvoyant"):
        if "ours" in total and other in total:
            said.append(f"price of ours over {other}: {total['ours'][1] / total[other][1]:.3f}")
    for name, differences in costs.items():
        mean, error = np.array(differences).T
        error = np.sqrt((error**2).sum()) / len(error)
        said.append(f"what disturbed figures cost {name}: {mean.mean():.1f} +- {error:.1f} minutes")
    seconds = defaultdict(float)
    visits = defaultdict(int)
    for results in every.values():
        for name, result in results.items():
            seconds[name] += float(result["seconds"])
            visits[name] += len(result["price"])
    times = (f"  {name:34}{1000 * s / visits[name]:9.1f}" for name, s in seconds.items())
    said.append("\n".join(["milliseconds of processor time for each visit", *times]))
    return "\n\n".join(said)


def main(arguments: list[str] | None = None) -> None:
    """Follow the visits and print the tables."""
    known, names = knowledge(), list(ways())
    harmless = [name for name, symptom in known.symptoms.items() if symptom.danger is None]
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--visits", type=int, default=2000, help="for each complaint")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--complaints", nargs="+", default=harmless, choices=harmless)
    parser.add_argument("--policies", nargs="+", default=names, choices=names)
    parser.add_argument("--disturbed", action="store_true", help="plan with disturbed figures too")
    parser.add_argument("--jobs", type=int, default=1, help="processes at once")
    parser.add_argument("--save", type=Path, help="file to go on from and to add to")
    parser.add_argument("--table", type=Path, help="only print what this file holds")
    options = parser.parse_args(arguments)
    if options.table:
        print(tables(gathered(saved(options.table))))
        return
    done = saved(options.save, options.seed) if options.save else {}
    for complaint in options.complaints:
        stale = {one["knowledge"] for (c, *_), one in done.items() if c == complaint}
        if stale - {setting(complaint).digest}:
            raise SystemExit(f"{options.save}: {complaint} is of other knowledge; give another")
    policies = [*BOUNDS, *options.policies]
    if options.disturbed:
        policies += [name + OFF for name in DISTURBED if name in options.policies]
    parts = wanted(options.complaints, policies, options.seed, options.visits, done)
    with options.save.open("a") if options.save else nullcontext() as file:
        for number, one in enumerate(_results(parts, options.jobs), 1):
            done[one["complaint"], one["policy"], one["seed"], one["first"]] = one
            if file:
                file.write(json.dumps(one) + "\n")
                file.flush()
            print(f"{number} of {len(parts)} parts", file=sys.stderr, flush=True)
    chosen = {
        place: one
        for place, one in done.items()
        if place[0] in options.complaints and place[1] in policies
    }
    print(f"python -m tests.benchmarks.visits {shlex.join(arguments or sys.argv[1:])}\n")
    print(tables(gathered(chosen)))


def _results(parts, jobs):
    if jobs == 1:
        yield from map(run, parts)
        return
    with ProcessPoolExecutor(jobs) as pool:
        for future in as_completed([pool.submit(run, part) for part in parts]):
            yield future.result()


if __name__ == "__main__":
    main()

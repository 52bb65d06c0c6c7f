"""How long a person waits: belief, next step, whole case, load; beside pyAgrum where it can follow.

    python -m tests.benchmarks.speed [--visits 3]

Times are processor time, so that whatever else the machine does is not counted.

The states for the next step are those that random answers to the advised checks lead through, a
few visits for each complaint. pyAgrum answers the same question on a network small enough for its
full tables (7 causes, nothing cut off); on the shipped knowledge a table over 60 causes would hold
2^60 rows.
"""

import argparse
import os
import random
import statistics
import time
from pathlib import Path

import numpy as np
import pyagrum as gum

from engine import planner
from engine.belief.posterior import Space
from engine.knowledge import load
from engine.physics import CALCULATIONS
from engine.visit import events as happened
from engine.visit.consult import consult
from engine.visit.keeping import KNOWLEDGE_FOLDER, knowledge
from engine.visit.state import fold
from engine.visit.thinking import situation, think
from tests.benchmarks.visits import Adviser
from tests.reference.gum_networks import as_bayes_net
from tests.reference.small_networks import as_network, drawn

CASES = Path(__file__).parents[1] / "cases"


def timed(work, times: int = 1) -> list[float]:
    """Milliseconds of processor time of each of several runs."""
    results = []
    for _ in range(times):
        start = time.process_time()
        work()
        results.append(1000 * (time.process_time() - start))
    return results


def said(what: str, results: list[float]) -> None:
    """One line: median, 95th percentile, largest."""
    p95 = float(np.percentile(results, 95))
    print(
        f"{what:<44}{len(results):>6} runs {statistics.median(results):>9.2f} ms median"
        f"{p95:>9.2f} ms 95 %{max(results):>9.2f} ms most",
        flush=True,
    )


def waits(known, visits: int) -> dict[str, list[float]]:
    """Times over the states that a few visits for each complaint lead through."""
    found = {"observe, one finding": [], "belief from the events": [], "next step": []}
    for symptom, entry in known.symptoms.items():
        if entry.danger:
            continue
        for number in range(visits):
            _walk(known, symptom, random.Random(f"speed {symptom} {number}"), found)
    return found


def _walk(known, symptom, dice, found) -> None:
    told = list(Adviser(known, symptom, None).setup)
    for _ in range(15):
        history = list(enumerate(told, 1))
        state = fold(known, history)
        if state.danger:
            return
        start = time.process_time()
        thought = think(known, state)
        found["belief from the events"].append(1000 * (time.process_time() - start))
        start = time.process_time()
        now = situation(known, state, thought)
        ranking = planner.rank(now)
        found["next step"].append(1000 * (time.process_time() - start))
        check = next((o.name for o in ranking.options if o.kind == "check"), None)
        if check is None:
            return
        belief, table = thought.belief, thought.belief.space.table(check)
        outcome = dice.choices(range(table.shape[1]), belief.predict(check))[0]
        found["observe, one finding"] += timed(lambda b=belief, l=table[:, outcome]: b.observe(l))
        answer = list(known.checks[check].outcomes)[outcome]
        told.append(happened.Found(check=check, outcome=answer))


def beside_pyagrum(seed: int = 1, causes: int = 7) -> None:
    """The same marginals from both, in the same run."""
    plain = drawn(seed, causes, 5, 2)
    space = Space(as_network(plain), causes)
    net = as_bayes_net(plain)
    inference = gum.LazyPropagation(net)
    answers = {}

    def ours():
        belief = space.belief()
        for check, weights in plain.findings.items():
            belief = belief.observe(space.table(check) @ np.array(weights))
        answers["ours"] = belief.marginals()

    def theirs():
        inference.eraseAllEvidence()
        inference.setEvidence({"made0": 1, "made1": 1} | plain.findings)
        inference.makeInference()
        answers["theirs"] = np.array(
            [float(inference.posterior(f"cause{i}")[1]) for i in range(causes)]
        )

    mine, other = timed(ours, 50), timed(theirs, 50)
    said(f"posterior of {causes} causes, every set", mine)
    said("the same by pyAgrum", other)
    ratio = statistics.median(other) / statistics.median(mine)
    off = np.abs(answers["ours"] - answers["theirs"]).max()
    print(f"pyAgrum takes {ratio:.2f} times as long; largest difference {off:.1e}")


def main(arguments: list[str] | None = None) -> None:
    """Print all times."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--visits", type=int, default=3, help="for each complaint")
    options = parser.parse_args(arguments)
    print(f"load of the machine: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    said("load the knowledge", timed(lambda: load(KNOWLEDGE_FOLDER, CALCULATIONS), 5))
    known = knowledge()
    for what, results in waits(known, options.visits).items():
        said(what, results)
    cases = sorted(CASES.glob("*.yaml"))
    said("consult, a whole case", [timed(lambda p=p: consult(known, p))[0] for p in cases])
    beside_pyagrum()


if __name__ == "__main__":
    main()

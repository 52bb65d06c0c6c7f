"""How long a person waits: load, belief, next step, whole case.

    OMP_NUM_THREADS=1 python -m tests.benchmarks.speed [--visits 3] [--complaints ...]

Times are processor time of one thread, so that whatever else the machine does is not waited for;
a busy neighbour on the same core still makes them longer, so the load is printed.

The states are those that advised visits lead through: for each complaint that is no danger sign a
few boilers are drawn from the model (`tests.benchmarks.boilers`), and the advice is followed
through checks, repairs and failed proofs until it is proven, referred or long enough. The next
step is all that happens between an answer and the advice: belief from the events, what can be
done, and the ranking. `tests.benchmarks.inference` sets the belief beside pyAgrum's,
`tests.benchmarks.scale` says how it grows.
"""

import argparse
import os
import statistics
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from engine import planner
from engine.knowledge import Knowledge, load
from engine.knowledge.before import FIVE_STARTS
from engine.physics import CALCULATIONS
from engine.visit import events as happened
from engine.visit.consult import consult
from engine.visit.keeping import KNOWLEDGE_FOLDER, knowledge
from engine.visit.state import fold
from engine.visit.thinking import Thought, situation, think
from tests.benchmarks.boilers import FACTS, WHO, Boiler, everything

CASES = Path(__file__).parents[1] / "cases"

STEPS = 15
"""Steps of one visit."""

STEP_WANTED, UPDATE_WANTED = 150.0, 1.0
"""Milliseconds at the 95th percentile: for the next step, and for taking in one finding."""


@dataclass(frozen=True)
class Moment:
    """One state of a visit and the milliseconds up to its advice."""

    thought: Thought
    now: planner.Situation
    best: planner.Option
    think: float
    situation: float
    rank: float

    @property
    def step(self) -> float:
        return self.think + self.situation + self.rank


def walk(known: Knowledge, complaint: str, seed: str, steps: int) -> Iterator[Moment]:
    """An advised visit to a boiler drawn from the model."""
    boiler, repairs = Boiler.drawn(known, everything(known, complaint), seed), 0
    told = [
        happened.Opened(who=WHO),
        *(happened.FactStated(fact=name, value=value) for name, value in FACTS.items()),
        happened.SymptomReported(symptom=complaint),
    ]
    for _ in range(steps):
        state = fold(known, list(enumerate(told, 1)))
        if state.danger:
            return
        marks = [time.process_time()]
        thought = think(known, state)
        marks.append(time.process_time())
        now = situation(known, state, thought)
        marks.append(time.process_time())
        best = planner.rank(now).best
        marks.append(time.process_time())
        yield Moment(thought, now, best, *(1000 * np.diff(marks)))
        if best.kind == "check":
            answer = boiler.answer(best.name, epoch=repairs)
            told.append(happened.Found(check=best.name, outcome=answer))
        elif best.kind == "action":
            told.append(happened.ActionDone(action=best.name, cause=best.cause))
            boiler.mend(best.name)
            repairs += 1
            if boiler.starts_cleanly(epoch=repairs):
                return
            told.append(happened.Proved(closing=FIVE_STARTS, words="one failed", failed=True))
        else:
            return


def timed(work, times: int = 1) -> list[float]:
    """Milliseconds of processor time of each of several runs."""
    results = []
    for _ in range(times):
        start = time.process_time()
        work()
        results.append(1000 * (time.process_time() - start))
    return results


def one_update(moment: Moment) -> list[float]:
    """Taking in one more finding, the likeliest of the check advised, marginals included."""
    if moment.best.kind != "check":
        return []
    belief, check = moment.thought.belief, moment.best.name
    table = belief.space.table(check)
    seen = np.eye(table.shape[1])[belief.predict(check).argmax()]
    return timed(lambda: belief.observe(table @ seen).marginals(), 5)


def said(what: str, results: list[float], wanted: float | None = None) -> None:
    """One line: median, 95th percentile, largest, and whether that is what is wanted."""
    p95 = float(np.percentile(results, 95))
    verdict = "" if wanted is None else f"   {'' if p95 <= wanted else 'NOT '}within {wanted:g} ms"
    print(
        f"{what:<38}{len(results):>6} runs {statistics.median(results):>9.3f} ms median"
        f"{p95:>9.3f} ms 95 %{max(results):>9.3f} ms most{verdict}",
        flush=True,
    )


def main(arguments: list[str] | None = None) -> None:
    """Print all times."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--visits", type=int, default=3, help="for each complaint")
    parser.add_argument("--complaints", nargs="*", default=None)
    options = parser.parse_args(arguments)
    print(f"load of the machine: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    said("load the knowledge", timed(lambda: load(KNOWLEDGE_FOLDER, CALCULATIONS), 3))
    known = knowledge()
    complaints = options.complaints or [
        name for name, symptom in known.symptoms.items() if symptom.danger is None
    ]
    met: list[Moment] = []
    for complaint in complaints:
        some = [
            moment
            for number in range(options.visits)
            for moment in walk(known, complaint, f"speed {complaint} {number}", STEPS)
        ]
        said(f"  next step, {complaint}", [moment.step for moment in some])
        met += some
    said("belief from the events", [moment.think for moment in met])
    updates = [ms for moment in met for ms in one_update(moment)]
    said("belief update, one finding", updates, UPDATE_WANTED)
    said("what can be done", [moment.situation for moment in met])
    said("ranking", [moment.rank for moment in met])
    said("next step, all of these", [moment.step for moment in met], STEP_WANTED)
    sizes = [len(moment.now.problem.sets) for moment in met]
    print(f"sets looked at: median {statistics.median(sizes):.0f}, most {max(sizes)}")
    cases = sorted(CASES.glob("*.yaml"))
    said("consult, a whole case", [timed(lambda p=p: consult(known, p))[0] for p in cases])


if __name__ == "__main__":
    main()

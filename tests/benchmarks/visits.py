"""Simulated visits on the shipped knowledge: what comes of following the advice.

    python -m tests.benchmarks.visits [--visits 30] [--complaints ...]

For every complaint that is no danger sign, boilers with a hidden fault are drawn from the model
(`tests.benchmarks.boilers`), and each policy is followed to its end: mended and proven, referred,
or stopped by a danger sign. A proof run can pass with the fault still there; such an end counts
as wrong. `price` is what the planner tries to make small: minutes on site, and its own price of a
referral for every end that leaves the fault in (referred, stopped, or wrongly called mended).

The boilers come from the same model that the advice is computed with, so this judges the planner,
not the knowledge.
"""

import argparse
import time
from dataclasses import dataclass

from engine.planner.situation import REFER_MINUTES, proof_minutes
from engine.visit import events as happened
from engine.visit.keeping import knowledge
from engine.visit.state import FIVE_STARTS, fold
from engine.visit.thinking import situation, think
from engine.visit.view import FITS_NOTHING
from tests.benchmarks import boilers, policies

POLICIES = {
    "shipped": policies.shipped,
    "base policy": policies.base,
    "most told per minute": policies.most_told_per_minute,
}
DOOR = "burner_door_off"
MOST_STEPS = 120
HEAD = ("right %", "wrong %", "refer %", "stop %", "minutes", "price", "checks", "repairs",
        "doors")  # fmt: skip


@dataclass
class End:
    """How one visit went."""

    how: str  # right | wrong | refer | stop
    minutes: float = 0.0
    price: float = 0.0
    checks: int = 0
    repairs: int = 0
    doors: int = 0


@dataclass(frozen=True)
class Turn:
    """What the advice is after a history, and what is open then."""

    danger: bool
    opened: tuple[str, ...]
    step: object


class Adviser:
    """A policy on one complaint; equal histories are thought about once."""

    def __init__(self, known, symptom, policy):
        self.known, self.policy = known, policy
        self.setup = (
            happened.Opened(who=boilers.WHO),
            *(happened.FactStated(fact=n, value=v) for n, v in boilers.FACTS.items()),
            happened.SymptomReported(symptom=symptom),
        )
        self.turns: dict[tuple, Turn] = {}

    def state(self, told: tuple):
        """The visit after what was told."""
        return fold(self.known, list(enumerate((*self.setup, *told), 1)))

    def turn(self, told: tuple) -> Turn:
        """What to do next after what was told."""
        key = tuple(event.model_dump_json() for event in told)
        if key not in self.turns:
            state, step = self.state(told), None
            if not state.danger:
                thought = think(self.known, state)
                now = situation(self.known, state, thought)
                if thought.belief.unlisted() < FITS_NOTHING:
                    step = self.policy(now, thought.belief)
            self.turns[key] = Turn(state.danger is not None, state.opened, step)
        return self.turns[key]


def follow(adviser: Adviser, boiler: boilers.Boiler) -> End:
    """One visit to its end."""
    told, end = (), End("refer")
    for _ in range(MOST_STEPS):
        turn = adviser.turn(told)
        step = turn.step
        if turn.danger:
            end.how = "stop"
            break
        if step is None or step.kind == "refer":
            break
        end.minutes += step.minutes
        if step.kind == "check":
            outcome = boiler.answer(step.name, epoch=end.repairs)
            told = (*told, happened.Found(check=step.name, outcome=outcome))
            end.checks += 1
        else:
            told = (*told, happened.ActionDone(action=step.name, cause=step.cause))
            boiler.mend(step.name)
        end.doors += DOOR in adviser.state(told).opened and DOOR not in turn.opened
        if step.kind == "action":
            end.minutes += proof_minutes(adviser.known)
            end.repairs += 1
            if boiler.starts_cleanly(epoch=end.repairs):
                end.how = "right" if boiler.complaint_gone() else "wrong"
                break
            failed = happened.Proved(closing=FIVE_STARTS, words="one failed", failed=True)
            told = (*told, failed)
    end.price = end.minutes
    if end.how != "right":
        end.price += REFER_MINUTES[boilers.WHO]
    return end


def main(arguments: list[str] | None = None) -> None:
    """Run the visits and print a table for each complaint, and one over all."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--visits", type=int, default=30, help="per complaint and policy")
    parser.add_argument("--seed", default="visits")
    parser.add_argument("--refer", type=float, default=REFER_MINUTES[boilers.WHO],
                        help="what the planner takes a referral to cost, minutes")  # fmt: skip
    parser.add_argument("--complaints", nargs="*", default=None)
    parser.add_argument("--policies", nargs="*", default=list(POLICIES), choices=list(POLICIES))
    options = parser.parse_args(arguments)
    REFER_MINUTES[boilers.WHO] = options.refer
    known = knowledge()
    complaints = options.complaints or [
        name for name, symptom in known.symptoms.items() if symptom.danger is None
    ]
    compared = {
        **{name: POLICIES[name] for name in options.policies},
    }
    every = {name: [] for name in compared}
    for symptom in complaints:
        network = boilers.everything(known, symptom)
        print(f"\n{symptom}, {options.visits} boilers\n{_row('', HEAD)}", flush=True)
        for name, policy in compared.items():
            adviser = Adviser(known, symptom, policy)
            seeds = [f"{options.seed} {symptom} {i}" for i in range(options.visits)]
            ends = [follow(adviser, boilers.Boiler.drawn(known, network, seed)) for seed in seeds]
            every[name] += ends
            print(_row(name, _figures(ends)), flush=True)
    print(f"\nall complaints\n{_row('', HEAD)}")
    for name, ends in every.items():
        print(_row(name, _figures(ends)))


def _figures(ends: list[End]) -> list[str]:
    count = len(ends)
    shares = [sum(e.how == how for e in ends) for how in ("right", "wrong", "refer", "stop")]
    means = [
        sum(getattr(e, field) for e in ends) / count
        for field in ("minutes", "price", "checks", "repairs", "doors")
    ]
    return [f"{100 * s / count:.0f}" for s in shares] + [
        f"{means[0]:.0f}", f"{means[1]:.0f}", *(f"{m:.2f}" for m in means[2:])
    ]  # fmt: skip


def _row(name, cells) -> str:
    return f"{name:<22}" + "".join(f"{cell:>9}" for cell in cells)


if __name__ == "__main__":
    started = time.perf_counter()
    main()
    print(f"\n{time.perf_counter() - started:.0f} s")

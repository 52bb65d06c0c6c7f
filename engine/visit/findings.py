"""Findings of a visit: what an answer says, how long it holds, and which of several counts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from engine import safety
from engine.belief.readings import Banded, band, read_values
from engine.errors import OutOfRange
from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs

if TYPE_CHECKING:
    from engine.visit.state import State


@dataclass(frozen=True)
class Finding:
    """A check's answer as it counts: `outcome` is None while a figure's inputs are missing.

    `epoch` is the number of repairs made before it. `event` is the event that brought it, None for
    derived findings.
    """

    check: str
    outcome: str | None
    epoch: int
    observer: str
    event: int | None = None
    values: tuple[tuple[str, float], ...] = ()
    typed: tuple[tuple[str, str], ...] = ()
    banded: Banded | None = None
    problem: str | None = None


def interpret(knowledge: Knowledge, state: State, event, number: int | None) -> Finding:
    """What an answer says, with all readings made since the last repair.

    Raises
    ------
    UnreadableValue, Implausible
        Only for values never accepted before; stored events were accepted.
    """
    check = event.check
    common = {"check": check, "epoch": state.epoch, "observer": state.who, "event": number}
    if event.outcome is not None:
        return Finding(outcome=event.outcome, **common)
    values = read_values(knowledge, state.facts, check, event.values, sure=True)
    readings = _readings(state, state.epoch) | {check: values}
    banded, problem = None, None
    try:
        banded = band(knowledge, state.facts, check, readings, state.instruments)
    except OutOfRange as error:
        problem = str(error)
    return Finding(
        outcome=banded.outcome if banded else None,
        values=tuple(values.items()),
        typed=tuple(event.values.items()),
        banded=banded,
        problem=problem,
        **common,
    )


def with_derived(knowledge: Knowledge, state: State) -> tuple[Finding, ...]:
    """All findings, those over several readings judged again with all of them, and what follows
    from readings without a check of its own."""
    findings = []
    for epoch in range(state.epoch + 1):
        readings = _readings(state, epoch)
        mine = [f for f in state.findings if f.epoch == epoch]
        findings += [_again(knowledge, state, f, readings) if f.values else f for f in mine]
        for name, check in knowledge.checks.items():
            possible = readings and safety.possible(knowledge, state.facts, "checks", name)
            if check.derived and possible:
                derived = Finding(check=name, outcome=None, epoch=epoch, observer=state.who)
                derived = _again(knowledge, state, derived, readings)
                if derived.outcome:
                    findings.append(derived)
    return tuple(findings)


def _again(knowledge, state, finding, readings) -> Finding:
    try:
        banded = band(knowledge, state.facts, finding.check, readings, state.instruments)
    except OutOfRange as error:
        return replace(finding, outcome=None, banded=None, problem=str(error))
    return replace(finding, outcome=banded.outcome if banded else None, banded=banded, problem=None)


def holding(knowledge: Knowledge, state: State) -> dict[str, Finding]:
    """Answers that no repair since may have changed, by check."""
    return {
        f.check: f
        for f in state.findings
        if f.outcome and _since(knowledge, state, f.check, state.epoch) <= f.epoch
    }


def missing_before(knowledge: Knowledge, state: State, action: str) -> tuple[str, ...]:
    """Checks that must still be made before an action."""
    found = {name: finding.outcome for name, finding in holding(knowledge, state).items()}
    return safety.unmet(knowledge, state.facts, action, found)[0]


def counted(knowledge: Knowledge, state: State) -> tuple[Finding, ...]:
    """The answers that belief goes by.

    However often a check is made while no repair may have changed what it shows, it counts once:
    the last answer, in the place of the first.
    """
    kept: dict[tuple[str, int], Finding] = {}
    for f in state.findings:
        if f.outcome:
            key = f.check, _since(knowledge, state, f.check, f.epoch)
            kept[key] = replace(f, epoch=kept[key].epoch) if key in kept else f
    return tuple(kept.values())


def _readings(state, epoch) -> dict[str, dict[str, float]]:
    """Values read in an epoch, by check: one figure is never made of two states of a boiler."""
    return {f.check: dict(f.values) for f in state.findings if f.values and f.epoch == epoch}


def _since(knowledge, state, check, epoch) -> int:
    """From which epoch on nothing was repaired, up to this one, that may change what a check
    shows."""
    changing = (
        place + 1
        for place, done in enumerate(state.done[:epoch])
        if check in graphs.changed_by(knowledge.graph, done.action)
    )
    return max(changing, default=0)

"""Where the knowledge is thin or wrong, though every file loads.

The loader refuses what cannot be used; the review reads what can be used with the eyes of an
instructor. A *problem* must be mended before anyone relies on the knowledge; a *remark* is worth
a look. Rules over the words themselves stand in `engine.knowledge.sentences`.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product

import networkx as nx
import numpy as np

from engine import units
from engine.errors import OutOfRange, Problem
from engine.knowledge import graph as graphs
from engine.knowledge import schema, sentences
from engine.knowledge.before import opened_for, uncovered
from engine.knowledge.facts import limit_value
from engine.knowledge.loading import Knowledge
from engine.knowledge.reading import OR, SPREAD
from engine.knowledge.separation import apart_by_design, everywhere, separation

TOLD_APART = 0.25
"""Least total variation of a check's outcomes at which it tells two causes apart. Judgement."""

BREAKING = {"gas": "gas", "mains": "mains", "water": "hot", "combustion": "flue_gas"}
"""The hazard of each circuit that an opened layer breaks while it is live, hot or under gas."""

STEPS = ("checks", "actions", "access")

Finding = tuple[str, str, str, str]  # kind, id, what, mend


@dataclass(frozen=True)
class Report:
    """What the review found, by place, and how much knowledge there is."""

    problems: tuple[Problem, ...]
    remarks: tuple[Problem, ...]
    figures: Mapping[str, int]

    def as_text(self) -> str:
        """For a terminal: figures, problems, remarks."""
        width = max(len(name) for name in self.figures)
        lines = [f"{name:<{width}}  {count}" for name, count in self.figures.items()]
        for title, found in (("problems", self.problems), ("remarks", self.remarks)):
            lines += ["", f"{len(found)} {title}", *map(str, found)]
        return "\n".join(lines)

    def as_dict(self) -> dict:
        """For another program."""
        return {
            "figures": dict(self.figures),
            "problems": [problem._asdict() for problem in self.problems],
            "remarks": [remark._asdict() for remark in self.remarks],
        }


def review(knowledge: Knowledge) -> Report:
    """Go through every rule; nothing is raised, everything is told."""

    def told(rules) -> tuple[Problem, ...]:
        found = {
            Problem(*knowledge.places[kind, name], f"{name}: {what}", mend)
            for rule in rules
            for kind, name, what, mend in rule(knowledge)
        }
        return tuple(sorted(found))

    return Report(told(RULES), told(REMARKS), _figures(knowledge))


def _figures(knowledge) -> dict[str, int]:
    checks = knowledge.checks.values()
    outcomes = [outcome for check in checks for outcome in check.outcomes.values()]
    counts = {kind: len(getattr(knowledge, kind)) for kind in schema.KINDS}
    relations = Counter(relation for *_, relation in knowledge.graph.edges(data="relation"))
    return counts | {
        "danger signs": sum(bool(s.danger) for s in knowledge.symptoms.values()),
        "outcomes": len(outcomes),
        "outcomes that stop": sum(bool(outcome.danger) for outcome in outcomes),
        "readings": sum(check.reading is not None for check in checks),
        "checks for a caller": sum(check.who == "caller" for check in checks),
        "links": relations.total(),
    }


# ---------------------------------------------------------------- nothing hangs loose


def orphans(knowledge: Knowledge) -> Iterator[Finding]:
    """Entries that nothing leads to."""
    net = knowledge.graph
    for name, cause in knowledge.causes.items():
        if not cause.seen_with:
            yield ("causes", name, "seen with no symptom",
                   "add 'seen_with', or take the cause out")  # fmt: skip
    for name in knowledge.symptoms:
        if not graphs.pointing(net, ("symptoms", name), "seen_with"):
            yield ("symptoms", name, "no cause brings this symptom",
                   "name it in 'seen_with' of a cause")  # fmt: skip
    for name in knowledge.actions:
        if not graphs.pointing(net, ("actions", name), "mended_by"):
            yield ("actions", name, "this action mends no cause",
                   "name it in 'mended_by' of a cause")  # fmt: skip
    sources_of_figures = _checks_read_by_others(knowledge)
    for name, check in knowledge.checks.items():
        shown = any(name in cause.shows for cause in knowledge.causes.values())
        if not (shown or check.derived or name in sources_of_figures):
            yield ("checks", name, "no cause shows anything on this check",
                   "name it in 'shows' of a cause")  # fmt: skip
    for name, instrument in knowledge.instruments.items():
        read = graphs.pointing(net, ("instruments", name), "reads_with")
        if not (read or instrument.only_readings):
            yield ("instruments", name, "no check reads a value with this instrument",
                   "name it in a reading, or take it out")  # fmt: skip
    used = _used(knowledge)
    for kind in ("words", "commonness", "standing", "shifts", "sources", "cautions", "access"):
        for name in getattr(knowledge, kind):
            if name not in used[kind]:
                yield (kind, name, "nothing uses it",
                       "use it, or take it out")  # fmt: skip
    for name, closing in knowledge.closing.items():
        if not (closing.always or closing.after_safe_acts or name in used["closing"]):
            yield ("closing", name, "this closing step is never obliged",
                   "name it in an access state or an action, or write 'always: yes'")  # fmt: skip


def _checks_read_by_others(knowledge) -> set[str]:
    return {
        origin.partition(".")[0]
        for check in knowledge.checks.values()
        if check.reading
        for figure in (*check.reading.figure, *check.reading.reports)
        for origin in figure.inputs.values()
    }


def _used(knowledge) -> dict[str, set[str]]:
    """Ids named by other entries, by kind."""
    used: dict[str, set[str]] = {kind: set() for kind in schema.KINDS}
    for kind in schema.KINDS:
        for name, entry in getattr(knowledge, kind).items():
            used["sources"] |= set(getattr(entry, "source", ()))
            used["cautions"] |= set(getattr(entry, "cautions", ()))
            used["access"] |= {n for key in ("access", "shut", "needs", "prevents")
                               for n in getattr(entry, key, ()) if n != name}  # fmt: skip
    for symptom in knowledge.symptoms.values():
        used["commonness"].add(symptom.share)
    for context in knowledge.contexts.values():
        used["shifts"] |= set(context.shifts.values())
    for state in knowledge.access.values():
        used["closing"] |= set(state.closing)
    for action in knowledge.actions.values():
        used["closing"] |= set(action.verify)
    for check in knowledge.checks.values():
        used["words"] |= set(check.reliability.values())
        used["words"] |= {o.in_sound_boiler for o in check.outcomes.values()}
        used["access"] |= {n for o in check.outcomes.values() for n in o.prevents}
        if check.reading:
            used["sources"] |= set(check.reading.band_source)
            used["sources"] |= {s for f in check.reading.fields.values() for s in f.source}
    for cause in knowledge.causes.values():
        used["standing"].add(cause.standing)
        used["commonness"] |= set(cause.seen_with.values())
        used["shifts"] |= set(cause.promotes.values())
        used["words"] |= set(cause.mended_by.values())
        used["words"] |= {w for outcomes in cause.shows.values() for w in outcomes.values()}
    return used


# ---------------------------------------------------------------- causes: mended, told apart


def mended(knowledge: Knowledge) -> Iterator[Finding]:
    """Every cause has an action on every boiler on which it can stand."""
    for name, cause in knowledge.causes.items():
        actions = [knowledge.actions[action] for action in cause.mended_by]
        if not any(everywhere(action.only_if, cause.only_if) for action in actions):
            yield ("causes", name, "on some boilers no action mends this cause",
                   "add an action that does not depend on how the boiler is built")  # fmt: skip


def shown_where_it_stands(knowledge: Knowledge) -> Iterator[Finding]:
    """No cause shows itself on a check that its boiler does not have."""
    for name, cause in knowledge.causes.items():
        for check in cause.shows:
            if apart_by_design(cause.only_if, knowledge.checks[check].only_if):
                yield ("causes", name, f"check {check!r} never exists where this cause stands",
                       "take it out of 'shows', or correct 'only_if'")  # fmt: skip


def told_apart(knowledge: Knowledge) -> Iterator[Finding]:
    """Every two causes differ on at least one check."""
    for (one, other), (distance, check) in separation(knowledge).items():
        if distance <= TOLD_APART:
            nearest = f"; nearest is {check!r} with {distance:.2f}" if check else ""
            yield ("causes", other, f"no check tells it from {one!r}{nearest}",
                   "say in 'shows' where the difference is seen, or join them")  # fmt: skip


# ---------------------------------------------------------------- steps: hazards, who, dangers


def covered(knowledge: Knowledge) -> Iterator[Finding]:
    """A caution stands before every hazard, what is opened for the step included."""
    for kind in STEPS:
        for name in getattr(knowledge, kind):
            for hazard in uncovered(knowledge, kind, name):
                yield (kind, name, f"no caution speaks of its hazard {hazard!r}",
                       "add a caution with this hazard to the step or to its access")  # fmt: skip


def declared(knowledge: Knowledge) -> Iterator[Finding]:
    """What breaks a circuit, or lets the boiler burn, says which hazard that is."""
    for name, state in knowledge.access.items():
        for broken in state.breaks:
            hazards = set(state.hazards)
            for before in opened_for(knowledge, "access", name):
                hazards |= set(knowledge.access[before].hazards)
            if BREAKING[broken] not in hazards:
                yield ("access", name, f"breaks {broken}, and its hazard is not declared",
                       f"add {BREAKING[broken]!r} to 'hazards' and a caution of it")  # fmt: skip
        if state.kind == "running" and not {"gas", "flue_gas"} & set(state.hazards):
            yield ("access", name, "burns gas, and its hazard is not declared",
                   "add 'gas' or 'flue_gas' to 'hazards' and a caution of it")  # fmt: skip


def a_caller_opens_nothing(knowledge: Knowledge) -> Iterator[Finding]:
    """What a caller may do needs no opened layer."""
    for kind in ("checks", "actions"):
        for name, step in getattr(knowledge, kind).items():
            for state in opened_for(knowledge, kind, name) if step.who == "caller" else ():
                if knowledge.access[state].kind == "opened":
                    yield (kind, name, f"a caller would have to open {state!r} for it",
                           "give it to a technician, or ask what is seen from outside")  # fmt: skip


def dangers_say_what_to_do(knowledge: Knowledge) -> Iterator[Finding]:
    """A danger says what to do, what not to do, and who acts."""
    for name, symptom in knowledge.symptoms.items():
        if symptom.danger and not symptom.danger.do_not:
            yield ("symptoms", name, "its danger does not say what not to do",
                   "add 'do_not' to its danger")  # fmt: skip
    for name, check in knowledge.checks.items():
        for outcome, entry in check.outcomes.items():
            if entry.danger and not entry.danger.do_not:
                yield ("checks", name, f"the danger {outcome!r} does not say what not to do",
                       "add 'do_not' to its danger")  # fmt: skip


# ---------------------------------------------------------------- readings


def reachable_outcomes(knowledge: Knowledge) -> Iterator[Finding]:
    """Every outcome of a reading can occur, for every fuel, from values an instrument shows."""
    for name, check in knowledge.checks.items():
        for fuel in knowledge.fuels() if check.reading else ():
            spans = [_span(knowledge, name, figure, fuel) for figure in check.reading.figure]
            quantity = spans[0][0]
            reached = [span for _, span in spans if span]
            occurs = set()
            for band in check.reading.bands:
                low, high = (
                    limit_value(knowledge, {"fuel": fuel}, limit, quantity)[0] if limit else end
                    for limit, end in ((band.start, -np.inf), (band.below, np.inf))
                )
                if any(low <= most and least < high for least, most in reached):
                    occurs.add(band.outcome)
            for outcome in check.outcomes:
                if outcome not in occurs:
                    yield ("checks", name, f"outcome {outcome!r} cannot occur with {fuel}",
                           "widen 'plausible' or move the band")  # fmt: skip


def _span(knowledge, check_id, figure, fuel):
    """(quantity, (least, most)) of a figure over all plausible readings; None if never there.

    Calculations are continuous, so between the least and the most every value occurs.
    """
    if figure.field:
        field = knowledge.checks[check_id].reading.fields[figure.field]
        return field.quantity, tuple(units.parse(t, field.quantity) for t in field.plausible)
    calculation = knowledge.calculations[figure.calculation]
    names = list(figure.inputs)
    steps = FINE if len(names) <= FEW_INPUTS else COARSE
    grids = [
        (fuel,) if calculation.inputs[n] == "fuel"
        else _grid(knowledge, check_id, figure.inputs[n], calculation.inputs[n], steps)
        for n in names
    ]  # fmt: skip
    values = _over(calculation.function, dict(zip(names, grids, strict=True)))
    return calculation.quantity, (min(values), max(values)) if values else None


def _over(function, grids) -> list[float]:
    """A function over all combinations of its inputs, without those that it refuses."""
    numeric = {name: grid for name, grid in grids.items() if isinstance(grid[0], float)}
    other = {name: grid[0] for name, grid in grids.items() if name not in numeric}
    if len(grids) > FEW_INPUTS:  # at once, as long as none of them is refused
        points = np.meshgrid(*numeric.values())
        try:
            return list(function(**other, **dict(zip(numeric, points, strict=True))).flat)
        except OutOfRange:
            pass
    values = []
    for point in product(*numeric.values()):
        try:
            values.append(function(**other, **dict(zip(numeric, point, strict=True))))
        except OutOfRange:
            continue
    return values


FEW_INPUTS, FINE, COARSE = 4, 5, 3
"""Values tried for each input of a calculation: their product is gone through."""


def _grid(knowledge, check_id, origin, quantity, steps) -> np.ndarray | tuple[float]:
    """Values that one input of a calculation can take."""
    holder, _, name = origin.partition(OR)[0].partition(".")
    owner = check_id if holder == "this" else holder
    if holder == "fact":
        plausible = knowledge.facts[name].plausible
    elif owner in knowledge.checks:
        plausible = knowledge.checks[owner].reading.fields[name].plausible
    else:
        return (units.parse(origin.partition(SPREAD)[0], quantity),)
    return np.linspace(*(units.parse(text, quantity) for text in plausible), steps)


# ---------------------------------------------------------------- remarks


def promoting_in_a_circle(knowledge: Knowledge) -> Iterator[Finding]:
    """Causes that make each other likelier, directly or round a corner."""
    promotes = nx.DiGraph(
        (start[1], end[1])
        for start, end, relation in knowledge.graph.edges(data="relation")
        if relation == "promotes"
    )
    for circle in nx.strongly_connected_components(promotes):
        first, *others = sorted(circle)
        if others:
            yield ("causes", first, f"it and {', '.join(others)} promote each other",
                   "keep the way in which the dirt or the damage travels")  # fmt: skip


def outcomes_of_no_cause(knowledge: Knowledge) -> Iterator[Finding]:
    """A faulty outcome that leads to no listed cause."""
    for name, check in knowledge.checks.items():
        for outcome in list(check.outcomes)[1:]:
            node = ("outcomes", name, outcome)
            if not graphs.pointing(knowledge.graph, node, "shows"):
                yield ("checks", name, f"no cause shows {outcome!r}",
                       "found, it speaks for an unlisted cause alone")  # fmt: skip


def idle_facts(knowledge: Knowledge) -> Iterator[Finding]:
    """Facts that are asked for and change no step and no band."""
    ruling = set()
    for kind in schema.KINDS:
        for entry in getattr(knowledge, kind).values():
            for key in ("only_if", "when", "against"):
                ruling |= set(getattr(entry, key, ()))
    for check in knowledge.checks.values():
        for band in check.reading.bands if check.reading else ():
            ruling |= {limit.fact for limit in (band.start, band.below) if limit}
        for figure in (*check.reading.figure, *check.reading.reports) if check.reading else ():
            ruling |= {o.partition(OR)[0].removeprefix("fact.") for o in figure.inputs.values()}
    for name in knowledge.facts:
        if name not in ruling:
            yield ("facts", name, "this fact changes no step and no band",
                   "it is only shown; let a step depend on it, if one does")  # fmt: skip


def bands_from_memory(knowledge: Knowledge) -> Iterator[Finding]:
    """Bands that nobody has read in any text."""
    for name, check in knowledge.checks.items():
        if check.reading and all(
            knowledge.sources[s].kind in ("memory", "judgement") for s in check.reading.band_source
        ):
            yield ("checks", name, "its bands rest on memory or judgement alone",
                   "find a published figure")  # fmt: skip


RULES: tuple[Callable[[Knowledge], Iterator[Finding]], ...] = (
    orphans, mended, shown_where_it_stands, told_apart, covered, declared,
    a_caller_opens_nothing, dangers_say_what_to_do, reachable_outcomes, *sentences.RULES,
)  # fmt: skip
REMARKS: tuple[Callable[[Knowledge], Iterator[Finding]], ...] = (
    promoting_in_a_circle, outcomes_of_no_cause, idle_facts, bands_from_memory,
)  # fmt: skip

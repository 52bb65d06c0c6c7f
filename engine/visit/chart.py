"""The fault path chart: what a visit would be told, compiled into a tree of the likeliest places.

Nothing is decided here. Every place of the tree is a history of events, folded and looked at as
that of any visit; the chart only keeps what was said, and which answers lead on to where.
"""

import heapq
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import count

from engine import explain
from engine.errors import NotAllowed, UnreadableValue, nearest
from engine.knowledge import Knowledge
from engine.knowledge.schema import WHO
from engine.visit import chart_words as words
from engine.visit import events as happened
from engine.visit.chart_cut import cut_off, numbered
from engine.visit.chart_tree import (
    RARE,
    REFER,
    REPAIR,
    STOP,
    Answer,
    Chart,
    End,
    Place,
    Setup,
    Step,
)
from engine.visit.opened import required_closing
from engine.visit.state import Numbered, State, fold
from engine.visit.taking import check_event
from engine.visit.view import Suspect, View, look

DEEPEST, MOST_PLACES = 12, 100
"""The longest row of checks, and the most checks in all, that a chart may hold. Judgement."""

USUAL_PLACES = 40
"""Checks in a chart that fills a sheet of paper. Judgement."""

LEAST_CHANCE = 0.005
"""A place that fewer visits come to is named, not followed. Judgement."""

NAMED_SUSPECTS = 3
"""How many suspects a place of the chart names. Judgement."""

LIKELY_ENOUGH = 0.01
"""From this probability on a suspect is named. Judgement."""


@dataclass(eq=False)
class _Spot:
    """A place of the tree while it is worked out; `ways` are its answers and where they lead.

    `place` is an end, or the step that is asked for; it becomes one of the chart with `ways`.
    """

    history: tuple[Numbered, ...]
    depth: int
    reach: float
    state: State | None = None
    view: View | None = None
    place: Place | None = None
    ways: list[tuple[Callable[..., Answer], "_Spot"]] = field(default_factory=list)

    def urgency(self) -> float:
        """P(a visit comes here), times how sure the first suspect is here: an end is near then."""
        suspects = self.view.suspects
        return self.reach * (suspects[0].probability if suspects else 0.0)


def compile_chart(
    knowledge: Knowledge,
    setup: Setup,
    depth: int = DEEPEST,
    places: int = USUAL_PLACES,
    least_chance: float = LEAST_CHANCE,
    progress: Callable[[int, int], None] | None = None,
) -> Chart:
    """What a visit with this complaint is told, answer by answer, where most visits come.

    Parameters
    ----------
    knowledge : Knowledge
    setup : Setup
    depth : int
        Most checks in a row. 1 to `DEEPEST`.
    places : int
        Most checks in all. 1 to `MOST_PLACES`. Those that most visits come to are worked out
        first, and among them those with a sure suspect, whose paths come to an end soonest.
    least_chance : float
        Places that fewer visits than this come to are named, not followed; danger signs always
        are. 0 to 1.
    progress : callable, optional
        Told (checks worked out, checks foreseen so far).

    Raises
    ------
    NotAllowed, UnreadableValue
        If the setup cannot be a visit, or there is no chart of this depth or size.

    Notes
    -----
    Answers are outcomes as seen. A value typed into the tool says how near its limit it lies, and
    may lead elsewhere there. At most `places` checks are followed and one place is looked at for
    each of their answers, which bounds the time; a place takes as long as a step of a visit.
    """
    if depth not in range(1, DEEPEST + 1):
        raise UnreadableValue(f"a chart {depth} checks deep is not possible; write 1 to {DEEPEST}")
    if places not in range(1, MOST_PLACES + 1):
        raise UnreadableValue(
            f"a chart of {places} checks is not possible; write 1 to {MOST_PLACES}"
        )
    told = progress or (lambda done, of: None)
    history = begun(knowledge, setup)
    told(0, 1)
    root = _Spot(history, 0, 1.0)
    _look(knowledge, root)
    waiting, order, done = [], count(), 0
    _queue(waiting, order, root, depth)
    while waiting and done < places:
        spot = heapq.heappop(waiting)[-1]
        ways = list(_ways(knowledge, spot, least_chance))
        if all(_is_rare(after) for _, after in ways):
            spot.place = cut_off(spot.place, words.ANSWERS_RARE)
            continue
        done += 1
        spot.ways = ways
        for _, after in ways:
            _queue(waiting, order, after, depth)
        told(done, min(done + len(waiting), places))
    told(max(done, 1), max(done, 1))
    tree = numbered(_settled(root, depth))
    return _chart(knowledge, setup, fold(knowledge, history), depth, least_chance, tree)


def _queue(waiting, order, spot, depth) -> None:
    """Let a spot wait to be followed, if a check is asked for there that is not too deep."""
    if isinstance(spot.place, Step) and spot.depth < depth:
        heapq.heappush(waiting, (-spot.urgency(), next(order), spot))


def _is_rare(spot: _Spot) -> bool:
    return isinstance(spot.place, End) and spot.place.kind == RARE


def begun(knowledge: Knowledge, setup: Setup) -> tuple[Numbered, ...]:
    """The events with which a visit of this setup begins, each checked as if it were entered.

    Raises
    ------
    NotAllowed, UnreadableValue
        If one of them cannot be taken, or no complaint is among them.
    """
    if setup.who not in WHO:
        close = nearest(setup.who, WHO)
        mend = f"write {close!r}" if close else f"choose from {', '.join(WHO)}"
        raise UnreadableValue(f"nobody is called {setup.who!r} here; {mend}")
    if not setup.symptoms:
        raise NotAllowed("no complaint yet; say what the boiler does")
    history: tuple[Numbered, ...] = ()
    for event in (
        happened.Opened(who=setup.who),
        *(happened.FactStated(fact=name, value=value) for name, value in setup.facts.items()),
        *(happened.ContextStated(context=name) for name in setup.contexts),
        *(happened.SymptomReported(symptom=name) for name in setup.symptoms),
    ):
        history = _with(knowledge, history, event)
    return history


def _with(knowledge, history, event) -> tuple[Numbered, ...]:
    check_event(knowledge, history, event)
    return (*history, (len(history) + 1, event))


def _look(knowledge, spot: _Spot) -> None:
    """Look at a spot as a visit does: what stands there."""
    spot.state = fold(knowledge, spot.history)
    spot.view = look(knowledge, spot.state)
    ask = spot.view.status == "ask"
    spot.place = _step(knowledge, spot) if ask else _end(knowledge, spot.view, spot.reach)


def _step(knowledge, spot: _Spot) -> Step:
    """The advised check, its answers still missing."""
    step = spot.view.next
    check = knowledge.checks[step.id]
    return Step(
        number=0, check=step.id, name=check.name, asks=check.asks,
        figure=words.figure_title(knowledge, check), minutes=step.minutes, reach=spot.reach,
        suspects=_leading(spot.view.suspects), first=words.first_moves(knowledge, step),
        cautions=step.cautions, governs=step.governs, answers=(),
        prove=_closing(knowledge, required_closing(knowledge, spot.state)),
    )  # fmt: skip


def _ways(knowledge, spot: _Spot, least_chance):
    """Every answer of the check that a spot asks for, with the spot after it, looked at."""
    name = spot.place.check
    check = knowledge.checks[name]
    bands = words.bands(knowledge, spot.state.facts, check)
    foreseen = {w.outcome: w for w in explain.what_if(spot.view.thought.belief, knowledge, name)}
    for outcome in words.in_order(check):
        entry, what_if = check.outcomes[outcome], foreseen.get(outcome)
        chance = what_if.probability if what_if else 0.0
        band, typical = bands.get(outcome, ("", False))
        answer = partial(
            Answer, outcome=outcome, says=entry.says, means=entry.means, band=band,
            typical=typical, danger=entry.danger is not None, chance=chance,
        )  # fmt: skip
        after = _Spot((), spot.depth + 1, spot.reach * chance)
        if after.reach < least_chance and not entry.danger:
            suspects = what_if.suspects if what_if else ()
            after.place = _rare(knowledge, suspects, after.reach, least_chance)
        else:
            found = happened.Found(check=name, outcome=outcome)
            after.history = _with(knowledge, spot.history, found)
            _look(knowledge, after)
        yield answer, after


def _rare(knowledge, suspects, reach, least_chance) -> End:
    after = [
        Suspect(name, knowledge.causes[name].name, p, explain.in_words(p)) for name, p in suspects
    ]
    return End(RARE, words.too_rare(least_chance), reach, _leading(after))


def _end(knowledge, view: View, reach) -> End:
    """What a visit is told where nothing more is asked."""
    if view.danger:
        danger = view.danger
        return End(
            STOP, view.headline, reach, do=danger.advice, do_not=danger.do_not,
            who_acts=danger.who_acts,
        )  # fmt: skip
    step, prove = view.next, _closing(knowledge, view.closing)
    if step.kind == REFER:
        return End(REFER, view.headline, reach, _leading(view.suspects), prove=prove)
    meant = [s for s in view.suspects if s.cause == step.cause]
    return End(
        REPAIR, step.name, reach, tuple(dict.fromkeys((*_leading(view.suspects), *meant))),
        action=step.id, cause=step.cause,
        aim=knowledge.causes[step.cause].name, first=words.first_moves(knowledge, step),
        cautions=step.cautions, governs=step.governs, prove=prove,
        bring=tuple(f"{p.count} × {p.part}" for p in knowledge.actions[step.id].parts),
    )  # fmt: skip


def _closing(knowledge, names) -> tuple[str, ...]:
    return tuple(knowledge.closing[name].name for name in names)


def _leading(suspects) -> tuple[Suspect, ...]:
    return tuple(s for s in suspects if s.probability >= LIKELY_ENOUGH)[:NAMED_SUSPECTS]


def _settled(spot: _Spot, depth) -> Place:
    """The tree below a spot; where nothing was followed any more it is cut off."""
    if not spot.ways:
        reason = words.DEPTH_REACHED if spot.depth >= depth else words.SIZE_REACHED
        return cut_off(spot.place, reason) if isinstance(spot.place, Step) else spot.place
    answers = tuple(make(then=_settled(after, depth)) for make, after in spot.ways)
    return replace(spot.place, answers=answers)


def _chart(knowledge, setup, state, depth, least_chance, root) -> Chart:
    chart = Chart(
        setup=setup,
        version=knowledge.version,
        complaints=tuple(knowledge.symptoms[name].name for name in state.symptoms),
        circumstances=tuple(knowledge.contexts[name].name for name in state.contexts),
        danger_signs=tuple(s.name for s in knowledge.symptoms.values() if s.danger),
        to_begin=words.to_begin(knowledge, state),
        facts=words.stated_facts(knowledge, state),
        not_known=words.facts_not_known(knowledge, state),
        stand_ins=(),
        hazards={entry.says: entry.hazard for entry in knowledge.cautions.values()},
        depth=depth,
        least_chance=least_chance,
        root=root,
    )
    checks = dict.fromkeys(step.check for step in chart.steps())
    return replace(chart, stand_ins=words.stand_ins(knowledge, state.facts, checks))

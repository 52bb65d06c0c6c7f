"""The fault path chart: what a visit would be told, compiled into a tree to a chosen depth.

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
from engine.visit.chart_tree import (
    ENDED,
    ON,
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
from engine.visit.keeping import check_event
from engine.visit.state import Numbered, State, fold, required_closing
from engine.visit.view import Suspect, View, look

DEEPEST = 8
"""The longest row of checks that a chart may hold: beyond it nobody follows a paper. Judgement."""

NAMED_SUSPECTS = 3
"""How many suspects a place of the chart names. Judgement."""

LIKELY_ENOUGH = 0.01
"""From this probability on a suspect is named. Judgement."""


@dataclass
class _Spot:
    """A place of the tree while it is worked out; `ways` are its answers and where they lead."""

    history: tuple[Numbered, ...]
    depth: int
    reach: float
    place: Place | None = None
    ways: list[tuple[Callable[..., Answer], "_Spot"]] = field(default_factory=list)


def compile_chart(
    knowledge: Knowledge,
    setup: Setup,
    depth: int = 4,
    most_steps: int = 60,
    least_chance: float = 0.02,
    progress: Callable[[int, int], None] | None = None,
) -> Chart:
    """What a visit with this complaint is told, answer by answer, to a chosen depth.

    Parameters
    ----------
    knowledge : Knowledge
    setup : Setup
    depth : int
        Most checks in a row. 1 to `DEEPEST`.
    most_steps : int
        Most checks in the whole tree; the places that most visits come to are worked out first.
    least_chance : float
        Places that fewer visits than this come to are named, not followed; danger signs always
        are. 0 to 1.
    progress : callable, optional
        Told (places worked out, places known so far).

    Raises
    ------
    NotAllowed, UnreadableValue
        If the setup cannot be a visit, or there is no chart of this depth.

    Notes
    -----
    Answers are outcomes as seen. A value typed into the tool says how near its limit it lies, and
    may lead elsewhere there. At most `most_steps` checks are asked for and one place is looked at
    for each of their answers, which bounds the time; a place takes as long as a step of a visit.
    """
    if depth not in range(1, DEEPEST + 1):
        raise UnreadableValue(f"a chart {depth} checks deep is not possible; write 1 to {DEEPEST}")
    history = begun(knowledge, setup)
    root = _Spot(history, 0, 1.0)
    waiting, order = [(-1.0, 0, root)], count(1)
    done = steps = 0
    while waiting:
        if progress:
            progress(done, done + len(waiting))
        spot = heapq.heappop(waiting)[-1]
        _work_out(knowledge, spot, depth, steps < most_steps, least_chance)
        done += 1
        steps += bool(spot.ways)
        for _, onward in spot.ways:
            if onward.place is None:
                heapq.heappush(waiting, (-onward.reach, next(order), onward))
    if progress:
        progress(done, done)
    tree = _settled(root, count(1))
    return _chart(knowledge, setup, fold(knowledge, history), depth, least_chance, tree)


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


def _work_out(knowledge, spot, depth, room, least_chance) -> None:
    """Look at a spot: what stands there, and the spots that its answers lead to.

    A check whose every answer is too rare to be followed is only named.
    """
    state = fold(knowledge, spot.history)
    view = look(knowledge, state)
    if view.status != "ask":
        spot.place = _end(knowledge, view, spot.reach)
    elif spot.depth >= depth or not room:
        says = words.DEPTH_REACHED if spot.depth >= depth else words.SIZE_REACHED
        spot.place = _on(knowledge, state, view, spot.reach, says)
    else:
        ways = list(_ways(knowledge, spot, state, view, least_chance))
        if all(after.place for _, after in ways):
            spot.place = _on(knowledge, state, view, spot.reach, words.ANSWERS_RARE)
        else:
            spot.place, spot.ways = _step(knowledge, view, spot.reach), ways


def _on(knowledge, state: State, view: View, reach, says) -> End:
    """Where the chart ends, and a visit would go on."""
    return End(
        ON, says, reach, _leading(view.suspects), onward=view.next.name,
        prove=_closing(knowledge, required_closing(knowledge, state)),
    )  # fmt: skip


def _step(knowledge, view: View, reach) -> Step:
    """The advised check, its answers still missing."""
    check, step = knowledge.checks[view.next.id], view.next
    return Step(
        number=0, check=step.id, name=check.name, asks=check.asks,
        figure=words.figure_title(knowledge, check), minutes=step.minutes, reach=reach,
        suspects=_leading(view.suspects), first=words.first_moves(knowledge, step),
        cautions=step.cautions, governs=step.governs, answers=(),
    )  # fmt: skip


def _ways(knowledge, spot, state: State, view: View, least_chance):
    """Every answer of the check that a spot asks for, with the spot after it."""
    name = view.next.id
    check = knowledge.checks[name]
    bands = words.bands(knowledge, state.facts, check)
    foreseen = {w.outcome: w for w in explain.what_if(view.thought.belief, knowledge, name)}
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


def _settled(spot, numbers) -> Place:
    """The tree below a spot, its steps numbered along the paths."""
    if not spot.ways:
        return spot.place
    number = next(numbers)
    answers = tuple(make(then=_settled(after, numbers)) for make, after in spot.ways)
    return replace(spot.place, number=number, answers=answers)


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
        depth=depth,
        least_chance=least_chance,
        ended=0.0,
        root=root,
    )
    ends = [p for p in chart.places() if isinstance(p, End) and p.kind in ENDED]
    checks = dict.fromkeys(step.check for step in chart.steps())
    return replace(
        chart,
        stand_ins=words.stand_ins(knowledge, state.facts, checks),
        ended=sum(end.reach for end in ends),
    )

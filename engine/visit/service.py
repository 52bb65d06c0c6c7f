"""The yearly service as a list: readings as found, layer by layer, back together and as left.

The list follows from the openings chosen, the access order of the knowledge and the state of the
visit; nothing of it is stored but what was answered, done, set aside or postponed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from engine import safety
from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import at_the_end, minutes_to_prove
from engine.visit.opened import prevented, required_closing
from engine.visit.proving import place

if TYPE_CHECKING:
    from engine.visit.findings import Finding
    from engine.visit.state import State

FOUND, LAYERS, LEFT = "as_found", "layers", "as_left"
STAGES = {
    FOUND: "As found, before it is opened",
    LAYERS: "Layer by layer: look, photograph, clean",
    LEFT: "Back together, proven, as left",
}

OPEN, LATER, DONE, ASIDE = "open", "later", "done", "set aside"
LOST, BLOCKED, OTHERS = "too late", "not possible now", "for somebody else"
WAITING = (OPEN, LATER)
"""What is still to be done by this person; the other words say why it is not."""

COVER = "cover_off"
"""What is read with the cover off comes after all that is read with it on."""

EXTENTS = ("measure", "usual", "full")
"""How far services go, each with all of those before it; a layer says from which one on."""

LOOK, MEASURE, USUAL, FULL = "look", *EXTENTS
EXTENT_WORDS = {
    LOOK: "Look only, open nothing",
    MEASURE: "Look and measure only",
    USUAL: "Usual yearly service",
    FULL: "Full strip-down",
}


@dataclass(frozen=True)
class Item:
    """One line of the list. `stands` is one of the words above, `why` says more about it."""

    kind: str  # check | action | proof
    id: str
    name: str
    stage: str
    stands: str
    minutes: float
    layer: str | None = None  # the last that is opened for it
    why: str = ""
    photograph: str = ""  # what is washed away by this step or the next
    cause: str | None = None


@dataclass(frozen=True)
class Figure:
    """A check of the service as found and as left; `left` is None until it was made again."""

    check: str
    found: Finding
    left: Finding | None


def choosable(knowledge: Knowledge, who: str) -> tuple[str, ...]:
    """The layers that this person may decide to open, in the order in which they are opened."""
    names = [
        name
        for name, entry in knowledge.access.items()
        if entry.choosable
        and all(
            safety.may(who, knowledge.access[layer].who)
            for layer in safety.opened_for(knowledge, "access", name)
        )
    ]
    return tuple(n for n in graphs.opening_order(knowledge.graph, names) if n in names)


def openings_of(knowledge: Knowledge, who: str, extent: str) -> tuple[str, ...]:
    """The layers that a service of this extent opens, as far as this person may."""
    within = EXTENTS[: EXTENTS.index(extent) + 1] if extent in EXTENTS else ()
    return tuple(n for n in choosable(knowledge, who) if knowledge.access[n].yearly in within)


def extent_of(knowledge: Knowledge, who: str, openings: Iterable[str]) -> str:
    """The least extent that opens all of these, as far as this person may; else the fullest."""
    wanted = set(openings) & set(choosable(knowledge, who))
    extents = (e for e in EXTENT_WORDS if wanted <= set(openings_of(knowledge, who, e)))
    return next(extents, FULL)


def with_needs(knowledge: Knowledge, openings: Iterable[str]) -> tuple[str, ...]:
    """The chosen layers and all that has to be opened before them, in order."""
    return graphs.opening_order(knowledge.graph, tuple(openings))


# ------------------------------------------------------------------ the list


def plan(knowledge: Knowledge, state: State) -> tuple[Item, ...]:
    """Every item in the order in which it is advised; empty where there is no service."""
    if state.service is None:
        return ()
    blocked = prevented(knowledge, state)
    reach = set(with_needs(knowledge, state.service))
    found = list(_as_found(knowledge, state, reach, blocked))
    layers = list(_layer_by_layer(knowledge, state, reach, blocked))
    left = list(_as_left(knowledge, state, reach, blocked, [*found, *layers]))
    return (*_late_last(state, found), *_late_last(state, layers), *_late_last(state, left))


def following(items: Iterable[Item]) -> Item | None:
    """The next item: the first that waits, a postponed one after the others of its stage."""
    return next((item for item in items if item.stands in WAITING), None)


def waiting(items: Iterable[Item]) -> tuple[Item, ...]:
    """What is left of the list."""
    return tuple(item for item in items if item.stands in WAITING)


def _late_last(state, items) -> list[Item]:
    """Postponed items behind the others, in the order in which they were postponed."""

    def late(item):
        return state.postponed.index(item.id) + 1 if item.stands == LATER else 0

    return sorted(items, key=late)


def within(knowledge: Knowledge, who: str, facts: Mapping, reach: set[str], kind: str):
    """Ids of one kind that this person may do on this boiler with no more than `reach` open."""
    return [
        name
        for name in getattr(knowledge, kind)
        if safety.allowed(knowledge, who, kind, name)
        and safety.possible(knowledge, facts, kind, name)
        and all(
            layer in reach or not knowledge.access[layer].choosable
            for layer in safety.opened_for(knowledge, kind, name)
        )
    ]


def _as_found(knowledge, state, reach, blocked) -> Iterator[Item]:
    """Readings and looks of the boiler as it came, from the outside inward."""
    names = [
        name
        for name in within(knowledge, state.who, state.facts, reach, "checks")
        if (knowledge.checks[name].yearly or "").startswith("before")
    ]
    answered = {answer.check for answer in state.answers}
    for name in sorted(names, key=lambda n: _from_outside(knowledge, n)):
        check = knowledge.checks[name]
        stands, why = _stands(knowledge, state, "checks", name, name in answered, blocked)
        if stands in WAITING and state.touches and check.yearly == "before_and_after":
            stands, why = LOST, "the boiler was opened before it was read"
        yield _item(knowledge, "check", name, FOUND, stands, why)


def _from_outside(knowledge, name):
    """What opens nothing first, then one port after the other, the cover last; in each of these
    what may show danger first, idle before firing, and high fire before low."""
    layers = safety.opened_for(knowledge, "checks", name)
    opened = [layer for layer in layers if knowledge.access[layer].kind == "opened"]
    position = list(knowledge.access).index
    running = [layer for layer in layers if knowledge.access[layer].kind != "opened"]
    order = ("powered_idle", "trial_for_ignition", "normal_running", "firing_high", "firing_low")
    return (
        COVER in opened,
        [position(layer) for layer in opened],
        max((order.index(layer) for layer in running), default=-1),
        not any(outcome.danger for outcome in knowledge.checks[name].outcomes.values()),
    )


def _layer_by_layer(knowledge, state, reach, blocked) -> Iterator[Item]:
    """At every layer what is looked at, then what is cleaned of it."""
    answered = {answer.check for answer in state.answers}
    done = {each.action for each in state.done}
    names = [
        ("check", name)
        for name in within(knowledge, state.who, state.facts, reach, "checks")
        if knowledge.checks[name].yearly == "opened"
    ]
    causes = cleaning(knowledge, state, reach)
    names += [("action", name) for name in causes]
    last = {each: _last_layer(knowledge, *each) for each in names}
    order = with_needs(knowledge, [*reach, *filter(None, last.values())])
    places = {None: -1} | {layer: place for place, layer in enumerate(order)}
    for kind, name in sorted(names, key=lambda each: places[last[each]]):
        ready = name in (answered if kind == "check" else done)
        stands, why = _stands(knowledge, state, f"{kind}s", name, ready, blocked)
        if kind == "action" and not why:
            why = "due every year" if knowledge.actions[name].yearly else "found dirty"
        cause = causes[name] if kind == "action" else None
        yield _item(knowledge, kind, name, LAYERS, stands, why, cause)


def _last_layer(knowledge, kind, name) -> str | None:
    layers = safety.opened_for(knowledge, f"{kind}s", name)
    opened = [layer for layer in layers if knowledge.access[layer].kind == "opened"]
    return opened[-1] if opened else None


def cleaning(knowledge: Knowledge, state: State, reach: set[str]) -> dict[str, str | None]:
    """Cleaning that is due or called for by what was seen, and the cause that it mends.

    Of several ways to clean what one look found dirty, the one that opens least and mends most
    surely. What was cleaned stays. Nothing that breaks into a circuit is cleaned without a finding
    that points at it, however usual it is to do so.
    """
    wanted: dict[str, str | None] = {}
    able = within(knowledge, state.who, state.facts, reach, "actions")
    held = dict(state.latest())
    able = [n for n in able if not any(safety.unmet(knowledge, state.facts, n, held))]
    more_than_measured = any(knowledge.access[layer].yearly != MEASURE for layer in reach)
    for name in able:
        action = knowledge.actions[name]
        if more_than_measured and action.yearly and not safety.needs_justification(knowledge, name):
            wanted[name] = None
    for check, outcome in state.found():
        if knowledge.checks[check].yearly != "opened":
            continue
        paths = [
            (cause, action)
            for cause, action in graphs.evidence_paths(knowledge.graph, check, outcome)
            if action in able and knowledge.actions[action].kind == "clean"
        ]
        best = min(
            paths, key=lambda path: _worth(knowledge, check, outcome, *path), default=None
        )  # fmt: skip
        if best:
            wanted[best[1]] = best[0]
    return wanted


def _worth(knowledge, check, outcome, cause, action):
    entry = knowledge.causes[cause]
    shown = knowledge.probability(entry.shows[check][outcome])
    mends = knowledge.probability(entry.mended_by[action])
    layers = safety.opened_for(knowledge, "actions", action)
    return len(layers), -shown * mends, knowledge.actions[action].minutes


def _as_left(knowledge, state, reach, blocked, before) -> Iterator[Item]:
    """What closing obliges, and the readings as left, in the order of proving."""
    ahead = [item for item in before if item.stands in WAITING]
    layers = {
        layer for item in ahead for layer in safety.opened_for(knowledge, f"{item.kind}s", item.id)
    }
    names = {c for layer in layers for c in knowledge.access[layer].closing}
    actions = [item.id for item in ahead if item.kind == "action"]
    names |= {c for action in actions for c in knowledge.actions[action].verify}
    names |= set(at_the_end(knowledge, actions)) if actions else set()
    names = {n for n in names if safety.possible(knowledge, state.facts, "closing", n)}
    names |= set(required_closing(knowledge, state))
    proofs = {proof.closing: proof for proof in state.proofs}
    read_by_proof = {knowledge.closing[name].check for name in names}
    disturbs = bool(state.touches or actions or any(knowledge.access[n].disturbs for n in layers))
    again = [
        name
        for name in within(knowledge, state.who, state.facts, reach, "checks")
        if knowledge.checks[name].yearly == "before_and_after" and name not in read_by_proof
    ]
    order = list(knowledge.closing)

    def turn(step):
        kind, name = step
        check = knowledge.closing[name].check if kind == "proof" else name
        covered = check is None or COVER not in safety.opened_for(knowledge, "checks", check)
        proof = name if kind == "proof" else None
        return (
            place(knowledge, proof, check),
            not covered,
            order.index(name) if proof else len(order),
        )

    steps = [("proof", name) for name in names]
    steps += [("check", name) for name in again] if disturbs else []
    failed = []
    for kind, name in sorted(steps, key=turn):
        if kind == "check":
            ready = is_left(state, name)
            stands, why = _stands(knowledge, state, "checks", name, ready, blocked)
            yield _item(knowledge, "check", name, LEFT, stands, why)
            continue
        item = _proof(knowledge, state, name, proofs.get(name), blocked)
        if item.stands == OPEN and item.why:
            failed.append(item)
        else:
            yield item
    yield from failed  # once more, when all else is proven


def _proof(knowledge, state, name, proof, blocked) -> Item:
    check = knowledge.closing[name].check
    layers = safety.opened_for(knowledge, "checks", check) if check else ()
    stands, why = OPEN, ""
    if proof and proof.passed:
        stands = DONE
    elif not safety.may_prove(knowledge, state.who, name):
        stands, why = OTHERS, "it takes a licence; hand it over"
    elif blocked & set(layers):
        stands, why = BLOCKED, "as the boiler behaves now"
    elif proof:
        why = "it did not hold"
    elif name in state.postponed:
        stands = LATER
    return _item(knowledge, "proof", name, LEFT, stands, why)


def _stands(knowledge, state, kind, name, ready, blocked) -> tuple[str, str]:
    if ready:
        return DONE, ""
    if name in state.skipped:
        return ASIDE, state.skipped[name]
    if blocked & set(safety.opened_for(knowledge, kind, name)):
        return BLOCKED, "as the boiler behaves now"
    return (LATER if name in state.postponed else OPEN), ""


def _item(knowledge, kind, name, stage, stands, why="", cause=None) -> Item:
    entry = getattr(knowledge, "closing" if kind == "proof" else f"{kind}s")[name]
    return Item(
        kind=kind,
        id=name,
        name=entry.name,
        stage=stage,
        stands=stands,
        minutes=minutes_to_prove(knowledge, name) if kind == "proof" else entry.minutes,
        layer=None if kind == "proof" else _last_layer(knowledge, kind, name),
        why=why,
        photograph=(getattr(entry, "photograph", None) or "") if stage != LEFT else "",
        cause=cause,
    )


# ------------------------------------------------------------------ as found, as left


def is_left(state: State, check: str) -> bool:
    """Whether a check was made after all that may have changed how the boiler burns."""
    last = max(state.touches, default=0)
    return any(answer.check == check and answer.event > last for answer in state.answers)


def missing_as_left(knowledge: Knowledge, state: State) -> tuple[str, ...]:
    """Readings that were made as found, or could have been, and not again as left."""
    if state.service is None or not state.touches:
        return ()
    reach = set(with_needs(knowledge, state.service))
    read = {answer.check for answer in state.answers}
    return tuple(
        name
        for name in within(knowledge, state.who, state.facts, reach, "checks")
        if knowledge.checks[name].yearly == "before_and_after"
        and not is_left(state, name)
        and (name in read or name not in state.skipped)
    )


def figures(knowledge: Knowledge, state: State) -> tuple[Figure, ...]:
    """Of every check of the service the first and the last answer, in the order of the visit.

    The last one is told only where the boiler was opened or worked on in between: until then a
    second answer corrects the first.
    """
    judged = {f.event: f for f in state.findings if f.event is not None}
    by_check: dict[str, list[Finding]] = {}
    for answer in state.answers:
        by_check.setdefault(answer.check, []).append(judged.get(answer.event, answer))
    told = []
    for check, answers in by_check.items():
        first = min(state.touches, default=None)
        found = [a for a in answers if first is None or a.event <= first] or answers[:1]
        later = [a for a in answers if any(found[-1].event < t < a.event for t in state.touches)]
        told.append(Figure(check, found[-1], later[-1] if later else None))
    return tuple(told)

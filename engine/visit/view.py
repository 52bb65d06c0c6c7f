"""The engine's whole answer about a visit, for screens, command line and tests alike."""

from dataclasses import dataclass, field, replace

from engine import explain, planner, safety
from engine.belief.observers import reliability
from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import at_the_end, minutes_to_prove
from engine.readings.words import held_against
from engine.visit.doubts import at_a_loss, unusual
from engine.visit.findings import missing_before
from engine.visit.headlines import FITS_NOTHING, headline, headline_of_service
from engine.visit.opened import open_closing, required_closing, shut_by
from engine.visit.proving import (
    moves,
    next_proof,
    proof_failed,
    proof_needs_another,
    repaired,
    waits_for_somebody,
)
from engine.visit.service import LEFT, Item, following, plan
from engine.visit.state import State
from engine.visit.thinking import Thought, situation, think

SHOWN_RANKING = 12
"""How many steps the ranking shows. Judgement."""

SHOWN_SUSPECTS = 0.001
"""From this probability on a suspect is listed. Judgement."""

NAMED_ACTIONS = 0.05
"""From this probability on a suspect's repairs and parts are named. Judgement."""


@dataclass(frozen=True)
class Suspect:
    cause: str
    name: str
    probability: float
    word: str


@dataclass(frozen=True)
class Next:
    """The advised step. `kind` is check, action, proof or refer."""

    kind: str
    id: str
    name: str
    minutes: float
    minutes_saved: float
    access: tuple[str, ...]
    separates: tuple[str, ...]
    cautions: tuple[str, ...]
    cause: str | None = None
    to_open: tuple[str, ...] = ()  # access states still to be brought about, in order
    to_shut: tuple[str, ...] = ()  # what is open now and must be shut first
    governs: tuple[str, ...] = ()  # what the cautions defer to
    before: str | None = None  # the action that may not come before this check
    sheet: tuple[str, ...] = ()  # what the boiler's sheet says that it is held against


@dataclass(frozen=True)
class Advised:
    """A repair for a suspect."""

    id: str
    cause: str
    name: str
    parts: tuple[str, ...]


@dataclass(frozen=True)
class View:
    """What the engine says; `engine.visit.consult.as_json` gives the form for other programs."""

    status: str  # ask | act | stop | refer | closed
    headline: str
    suspects: tuple[Suspect, ...]
    none_of_these: float
    remainder: float
    next: Next | None
    ranking: tuple[planner.Option, ...]
    actions: tuple[Advised, ...]
    cautions: tuple[str, ...]
    closing: tuple[str, ...]
    still_open: tuple[str, ...]
    expected_minutes: float | None
    unusual: tuple[str, ...]
    calculations: tuple[dict, ...]
    danger: object = None
    at_a_loss: str = ""  # that nothing is being found out, and what would mend it
    mended: float = 0.0
    service: tuple[Item, ...] = ()  # the list of a yearly service, in order
    thought: Thought | None = field(default=None, compare=False, repr=False)
    now: planner.Situation | None = field(default=None, compare=False, repr=False)
    every: tuple[planner.Option, ...] = field(default=(), compare=False, repr=False)  # all ranked


def look(knowledge: Knowledge, state: State, largest: int = 2) -> View:
    """The engine's view of a visit."""
    required = required_closing(knowledge, state)
    still_open = open_closing(knowledge, state)
    common = {
        "closing": required,
        "still_open": still_open,
        "calculations": _calculations(state),
        "service": plan(knowledge, state),
    }
    if state.danger or not state.symptoms:
        return _without_belief(knowledge, state, common)
    thought = think(knowledge, state, largest)
    belief = thought.belief
    suspects = tuple(
        Suspect(name, knowledge.causes[name].name, p, explain.in_words(p))
        for name, p in explain.suspects(belief)
        if p >= SHOWN_SUSPECTS
    )
    now = situation(knowledge, state, thought)
    ranking = planner.rank(now)
    unlisted = belief.unlisted()
    item = following(common["service"])
    status, step = _following(knowledge, state, thought, ranking, still_open, item)
    done = [each.action for each in state.done]
    common["closing"] = _with_step(knowledge, done, required, step)
    return View(
        status=status,
        headline=headline(knowledge, state, status, step, unlisted, suspects),
        suspects=suspects,
        none_of_these=unlisted,
        remainder=thought.remainder,
        next=step,
        ranking=_shown(ranking),
        actions=_advised(knowledge, state, suspects),
        cautions=step.cautions if step else (),
        expected_minutes=None if status == "closed" else ranking.best.expected_minutes,
        unusual=unusual(knowledge, thought),
        at_a_loss=at_a_loss(knowledge, state) if status == "ask" else "",
        mended=belief.sound(),
        thought=thought,
        now=now,
        every=ranking.options,
        **common,
    )


def _shown(ranking) -> tuple[planner.Option, ...]:
    """The best of the ranking; referring is always among them."""
    steps = [option for option in ranking.options if option.kind != "proof"]
    first = steps[:SHOWN_RANKING]
    return (*first, *(option for option in steps[SHOWN_RANKING:] if option.kind == "refer"))


def _without_belief(knowledge, state, common) -> View:
    nothing = {
        "suspects": (),
        "none_of_these": 0.0,
        "remainder": 0.0,
        "next": None,
        "ranking": (),
        "actions": (),
        "expected_minutes": None,
        "unusual": (),
    }
    if state.service is not None and not state.danger:
        item = following(common["service"])
        status, step = _of_service(knowledge, state, None, None if state.end else item)
        return View(
            status="closed" if state.end else status,
            headline=headline_of_service(state, step, common["still_open"]),
            cautions=step.cautions if step else (),
            **(nothing | {"next": step}),
            **common,
        )
    if state.danger:
        name, danger = state.danger
        return View(
            status="closed" if state.end else "stop",
            headline=f"Stop: {name}",
            cautions=(*danger.advice, *danger.do_not),
            danger=danger,
            **nothing,
            **common,
        )
    return View(status="ask", headline="Say what the boiler does", cautions=(), **nothing, **common)


def _of_service(knowledge, state, thought, item):
    """(status, next step) by the list of the service."""
    if item is None:
        return "act", None
    if item.kind == "proof":
        return "act", proof_step(knowledge, state, item.id)
    entry = getattr(knowledge, f"{item.kind}s")[item.id]
    way = planner.way(knowledge, entry, state.opened, required_closing(knowledge, state))
    price = planner.beyond_hands(knowledge, item.id, state.who) if item.kind == "action" else 0.0
    minutes = item.minutes + way.total + price
    option = planner.Option(item.kind, item.id, None, minutes, item.cause)
    status = "ask" if item.kind == "check" else "act"
    return status, step_of(knowledge, state, thought, option, 0.0)


def _following(knowledge, state, thought, ranking, still_open, item):
    """(status, next step); a repair of a service is proven with the rest of it, at its end."""
    if state.end:
        return "closed", None
    belief = thought.belief
    if repaired(state) and not proof_failed(state):
        if item and item.stage != LEFT and not waits_for_somebody(knowledge, state):
            return _of_service(knowledge, state, thought, item)
        if not still_open:
            return "act", None  # proven: nothing is left but to close the visit
        if waits_for_somebody(knowledge, state):
            refer = next(option for option in ranking.options if option.kind == "refer")
            return "refer", _refer_step(refer)
        proof = next_proof(knowledge, state, still_open)
        one_more_first = ranking.best.kind == "action" and not state.proofs
        if proof and not one_more_first:
            return "act", proof_step(knowledge, state, proof)
    best = ranking.best
    another = proof_needs_another(knowledge, state, still_open)
    if another or belief.unlisted() >= FITS_NOTHING or best.kind in ("refer", "proof"):
        refer = next(option for option in ranking.options if option.kind == "refer")
        return "refer", _refer_step(refer)
    step = step_of(knowledge, state, thought, best, ranking.saved())
    if best.kind == "check":
        return "ask", step
    first = next(iter(missing_before(knowledge, state, best.name)), None)
    if first is None:
        return "act", step
    entry = knowledge.checks[first]
    way = planner.way(knowledge, entry, state.opened, required_closing(knowledge, state))
    minutes = entry.minutes + way.total
    check = step_of(knowledge, state, thought, planner.Option("check", first, None, minutes), 0.0)
    return "ask", replace(check, before=best.name)


def proof_step(knowledge: Knowledge, state: State, closing: str) -> Next:
    """A closing step with all that must be known before doing it."""
    entry = knowledge.closing[closing]
    check = knowledge.checks[entry.check] if entry.check else None
    if check:
        to_open, to_shut = moves(knowledge, state, "checks", entry.check)
    else:
        to_open, to_shut = (), shut_by(knowledge, state.opened, closing)
    texts = [knowledge.cautions[c].says for c in entry.cautions]
    if entry.check:
        texts += caution_texts(knowledge, "checks", entry.check, state.opened)
    return Next(
        kind="proof",
        id=closing,
        name=entry.name,
        minutes=minutes_to_prove(knowledge, closing),
        minutes_saved=0.0,
        access=safety.opened_for(knowledge, "checks", entry.check) if entry.check else (),
        separates=(),
        cautions=tuple(dict.fromkeys(texts)),
        to_open=to_open,
        to_shut=to_shut,
        sheet=held_against(knowledge, state.facts, entry),
    )


def _refer_step(option) -> Next:
    return Next(
        kind="refer",
        id="refer",
        name="Make safe and refer",
        minutes=option.minutes,
        minutes_saved=0.0,
        access=(),
        separates=(),
        cautions=(),
    )


def step_of(knowledge: Knowledge, state: State, thought: Thought, option, saved: float) -> Next:
    """A ranked option with all that must be known before doing it."""
    if option.kind == "refer":
        return _refer_step(option)
    kind = "checks" if option.kind == "check" else "actions"
    to_open, to_shut = moves(knowledge, state, kind, option.name)
    return Next(
        kind=option.kind,
        id=option.name,
        name=getattr(knowledge, kind)[option.name].name,
        minutes=hands_minutes(knowledge, state, option),
        minutes_saved=saved,
        access=safety.opened_for(knowledge, kind, option.name),
        separates=_separates(knowledge, state, thought, option.name) if kind == "checks" else (),
        cautions=caution_texts(knowledge, kind, option.name, state.opened),
        cause=option.cause,
        to_open=to_open,
        to_shut=to_shut,
        governs=_governs(knowledge, safety.cautions(knowledge, kind, option.name, state.opened)),
        sheet=held_against(knowledge, state.facts, getattr(knowledge, kind)[option.name]),
    )


def _separates(knowledge, state, thought, check) -> tuple[str, ...]:
    if thought is None or check not in thought.belief.space.network.background:
        return ()
    sure = reliability(knowledge, check, state.who)
    return explain.separates(thought.belief, check, sure)


def _governs(knowledge, cautions) -> tuple[str, ...]:
    return tuple(dict.fromkeys(knowledge.cautions[name].defers_to for name in cautions))


def hands_minutes(knowledge: Knowledge, state: State, option) -> float:
    """Minutes of a ranked option without parts and others' work, which count in ranking only."""
    if option.kind != "action":
        return option.minutes
    return option.minutes - planner.beyond_hands(knowledge, option.name, state.who)


def caution_texts(knowledge: Knowledge, kind: str, name: str, opened=()) -> tuple[str, ...]:
    """The cautions before a step, as sentences."""
    return tuple(
        knowledge.cautions[caution].says
        for caution in safety.cautions(knowledge, kind, name, opened)
    )


def _with_step(knowledge, done, required, following) -> tuple[str, ...]:
    """Closing steps obliged so far, and those the advised step would oblige."""
    names = list(required)
    if following and following.kind in ("check", "action"):
        for layer in following.access:
            names += knowledge.access[layer].closing
        if following.kind == "action":
            names += knowledge.actions[following.id].verify
            names += at_the_end(knowledge, [*done, following.id])
    return tuple(dict.fromkeys(names))


def _advised(knowledge, state, suspects) -> tuple[Advised, ...]:
    advised = []
    for suspect in suspects:
        if suspect.probability < NAMED_ACTIONS:
            continue
        for action in knowledge.causes[suspect.cause].mended_by:
            entry = knowledge.actions[action]
            if safety.allowed(knowledge, state.who, "actions", action) and safety.possible(
                knowledge, state.facts, "actions", action
            ):
                parts = tuple(
                    f"{p.count} × {p.part}" if p.count > 1 else p.part for p in entry.parts
                )
                advised.append(Advised(action, suspect.cause, entry.name, parts))
    return tuple(advised)


def _calculations(state) -> tuple[dict, ...]:
    """Every figure that was worked out, not read, each once."""
    found = {}
    for finding in state.findings:
        if not finding.banded or finding.epoch != state.epoch:
            continue
        for figure in (finding.banded.figure, *finding.banded.reports):
            if figure.name not in dict(finding.values):
                found[(finding.check, figure.name)] = figure
    return tuple({"check": check, "figure": figure} for (check, _), figure in found.items())


def access_names(knowledge: Knowledge, states) -> tuple[str, ...]:
    """Names of access states, in the order in which they come about."""
    ordered = graphs.opening_order(knowledge.graph, states)
    return tuple(knowledge.access[name].name for name in ordered)

"""The steps that a person may choose from instead of the advised one."""

from dataclasses import dataclass, replace

from engine import planner, safety
from engine.knowledge import Knowledge
from engine.planner import Option
from engine.visit.findings import missing_before
from engine.visit.keeping import Visit
from engine.visit.proving import moves
from engine.visit.state import State
from engine.visit.view import Next, access_names, hands_minutes, proof_step, step_of
from engine.visit.weighing import aim_words, many_against, way_to_step

PROOF, CHECK, ACTION, REFER = "proof", "check", "action", "refer"

NEVER_FOLDED = ("gas", "flue_gas")
"""Hazards of which a danger sign has just spoken."""

FOLDED_FROM = 2
"""Fewer cautions than this are never folded: their title would take as much room. Judgement."""


@dataclass(frozen=True)
class Offer:
    """A step that can be taken instead of the advised one."""

    kind: str
    id: str
    name: str
    minutes: float
    to_open: tuple[str, ...] = ()
    cause: str | None = None
    mends: str = ""  # the causes that it may mend, with their chances
    against: str = ""  # what it costs against the advised step

    def line(self) -> str:
        """Name, minutes, what has to be brought about for it and what it costs, on one line."""
        costs = f"; {self.against}" if self.against else ""
        if self.kind == REFER:  # its minutes are the cost of not knowing, not of hands
            return f"{self.name}{costs}"
        opening = f", needs: {', '.join(self.to_open)}" if self.to_open else ""
        aim = f", for: {self.mends}" if self.mends else ""
        return f"{self.name}{aim} (about {round(self.minutes)} min{opening}){costs}"


def by_turn(known: Knowledge, state: State, step: Next) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The cautions of a step by their turn: those to read now, and those that may be folded.

    All are read now, except after a danger that was made safe. There the step's own stay, those of
    the layer that is opened first, those of what stands open, and whatever warns of gas or flue
    gas; the others belong to layers opened after that.
    """
    if not state.made_safe:
        return step.cautions, ()
    own = _own_cautions(known, step)
    now = own | {name for layer in step.to_open[:1] for name in known.access[layer].cautions}
    after = {name for layer in step.to_open[1:] for name in known.access[layer].cautions} - now
    texts = {
        known.cautions[name].says
        for name in after
        if known.cautions[name].hazard not in NEVER_FOLDED
    }
    later = tuple(text for text in step.cautions if text in texts)
    if len(later) < FOLDED_FROM:
        return step.cautions, ()
    return tuple(text for text in step.cautions if text not in texts), later


def _own_cautions(known, step) -> set[str]:
    if step.kind == REFER:
        return set()
    kinds = {CHECK: known.checks, ACTION: known.actions, PROOF: known.closing}
    entry = kinds[step.kind][step.id]
    behind = known.checks[entry.check].cautions if step.kind == PROOF and entry.check else ()
    return {*entry.cautions, *behind}


def ranked(known: Knowledge, visit: Visit) -> tuple[Offer, ...]:
    """The steps worth taking now, best first: after a repair the closing steps still open, then the
    ranking; before one what was opened is put back last."""
    state, view = visit.state, visit.view
    closing = [
        Offer(PROOF, name, known.closing[name].name, proof_step(known, state, name).minutes)
        for name in view.still_open
        if safety.may_prove(known, state.who, name)
    ]
    offers = list(closing) if state.done else []
    against = many_against(known, view)
    for option in view.ranking:
        costs = against.get((option.kind, option.name), "")
        if option.kind == REFER:
            offers.append(Offer(REFER, REFER, "Make safe and refer", option.minutes, against=costs))
            continue
        kind = "checks" if option.kind == CHECK else "actions"
        layers = access_names(known, moves(known, state, kind, option.name)[0])
        offers.append(
            Offer(
                option.kind,
                option.name,
                getattr(known, kind)[option.name].name,
                hands_minutes(known, state, option),
                layers,
                option.cause,
                aim_words(known, view, option.name) if option.kind == ACTION else "",
                costs,
            )
        )
    return (*offers, *(() if state.done else closing))


def all_others(known: Knowledge, state: State, offered: tuple[Offer, ...]) -> tuple[Offer, ...]:
    """Every further check and repair that this person may do on this boiler."""
    named = {(offer.kind, offer.id) for offer in offered}
    return tuple(
        Offer(kind, name, step.name, own_minutes(known, state, kind, name))
        for kind, kinds in ((CHECK, "checks"), (ACTION, "actions"))
        for name, step in getattr(known, kinds).items()
        if (kind, name) not in named
        and not getattr(step, "derived", False)
        and safety.allowed(known, state.who, kinds, name)
        and safety.possible(known, state.facts, kinds, name)
    )


def choosable(known: Knowledge, visit: Visit, kind: str, name: str, cause: str) -> bool:
    """Whether ids from outside name a step that this person may take, and a cause or nothing."""
    if kind in (PROOF, REFER):
        return name in known.closing if kind == PROOF else name == REFER
    return (
        kind in (CHECK, ACTION)
        and name in getattr(known, f"{kind}s")
        and safety.allowed(known, visit.state.who, f"{kind}s", name)
        and (not cause or cause in known.causes)
    )


def taken(known: Knowledge, visit: Visit, kind: str, name: str, cause: str | None = None) -> Next:
    """A chosen step with all that must be known before doing it."""
    state, thought = visit.state, visit.view.thought
    if kind == PROOF:
        return proof_step(known, state, name)
    option = next((o for o in visit.view.ranking if (o.kind, o.name) == (kind, name)), None)
    if option is None and kind != REFER and visit.view.now:
        option = planner.price(visit.view.now, kind, name)
    if option is None:
        price = planner.beyond_hands(known, name, state.who) if kind == ACTION else 0.0
        option = Option(kind, name, None, own_minutes(known, state, kind, name) + price)
    if kind == ACTION:
        cause = cause or option.cause or _meant(known, visit, name)
    return step_of(known, state, thought, replace(option, cause=cause), 0.0)


def own_minutes(known: Knowledge, state: State, kind: str, name: str) -> float:
    """Minutes of a check or repair as the planner counts them, without the price of parts: hands,
    opening, closing, what closing newly obliges, and the checks that must come before."""
    if kind == REFER:
        return 0.0
    step = getattr(known, f"{kind}s")[name]
    before = missing_before(known, state, name) if kind == ACTION else ()
    before = sum(known.checks[check].minutes for check in before)
    return step.minutes + before + way_to_step(known, state, step).total


def _meant(known, visit, action) -> str | None:
    """The likeliest suspect that an action mends, of those for which it is justified if any."""
    mends = [s.cause for s in visit.view.suspects if action in known.causes[s.cause].mended_by]
    justified = visit.view.now.justified_for.get(action, ()) if visit.view.now else ()
    return next((cause for cause in mends if cause in justified), mends[0] if mends else None)

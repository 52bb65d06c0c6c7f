"""The steps that a person may choose from instead of the advised one."""

from dataclasses import dataclass, replace

from engine import safety
from engine.knowledge import Knowledge
from engine.planner import Option
from engine.visit.keeping import Visit
from engine.visit.proving import moves
from engine.visit.state import State
from engine.visit.view import Next, access_names, caution_texts, hands_minutes, proof_step, step_of

PROOF, CHECK, ACTION, REFER = "proof", "check", "action", "refer"


@dataclass(frozen=True)
class Offer:
    """A step that can be taken instead of the advised one."""

    kind: str
    id: str
    name: str
    minutes: float
    to_open: tuple[str, ...] = ()
    cause: str | None = None
    mends: str = ""  # the name of `cause`

    def line(self) -> str:
        """Name, minutes and what has to be brought about for it, on one line."""
        if self.kind == REFER:  # its minutes are the cost of not knowing, not of hands
            return self.name
        opening = f", needs: {', '.join(self.to_open)}" if self.to_open else ""
        aim = f", for: {self.mends}" if self.mends else ""
        return f"{self.name}{aim} (about {round(self.minutes)} min{opening})"


def ranked(known: Knowledge, visit: Visit) -> tuple[Offer, ...]:
    """The steps worth taking now, best first: closing steps still open, then the ranking."""
    state, view = visit.state, visit.view
    offers = [
        Offer(PROOF, name, known.closing[name].name, proof_step(known, state, name).minutes)
        for name in view.still_open
        if state.done and safety.may_prove(known, state.who, name)
    ]
    for option in view.ranking:
        if option.kind == REFER:
            offers.append(Offer(REFER, REFER, "Make safe and refer", option.minutes))
            continue
        kind = "checks" if option.kind == CHECK else "actions"
        layers = access_names(known, moves(known, state, kind, option.name)[0])
        name = getattr(known, kind)[option.name].name
        mends = known.causes[option.cause].name if option.cause else ""
        offers.append(
            Offer(
                option.kind,
                option.name,
                name,
                hands_minutes(known, option),
                layers,
                option.cause,
                mends,
            )
        )
    return tuple(offers)


def all_others(known: Knowledge, state: State, offered: tuple[Offer, ...]) -> tuple[Offer, ...]:
    """Every further check and repair that this person may do on this boiler."""
    named = {(offer.kind, offer.id) for offer in offered}
    return tuple(
        Offer(kind, name, step.name, step.minutes)
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
    if kind == CHECK and name not in thought.belief.space.network.background:
        return _unrelated(known, state, name)
    if kind == ACTION and cause is None:
        cause = _meant(known, visit, name)
    ranked_as = next((o for o in visit.view.ranking if (o.kind, o.name) == (kind, name)), None)
    option = ranked_as or Option(kind, name, 0.0, _minutes(known, state, kind, name), cause)
    return step_of(known, state, thought, replace(option, cause=cause), 0.0)


def _minutes(known, state, kind, name) -> float:
    """Minutes of a step that the ranking left out, as the planner counts them."""
    if kind == REFER:
        return 0.0
    step = getattr(known, f"{kind}s")[name]
    to_open, _ = moves(known, state, f"{kind}s", name)
    opening = sum(
        known.access[layer].open_minutes + known.access[layer].close_minutes for layer in to_open
    )
    return step.minutes + getattr(step, "price", 0.0) + opening


def _unrelated(known, state, name) -> Next:
    """A check that bears on no suspect of this visit, but can be made all the same."""
    to_open, to_shut = moves(known, state, "checks", name)
    return Next(
        kind=CHECK, id=name, name=known.checks[name].name, minutes=known.checks[name].minutes,
        minutes_saved=0.0, access=safety.opened_for(known, "checks", name), separates=(),
        cautions=caution_texts(known, "checks", name, state.opened),
        to_open=to_open, to_shut=to_shut,
    )  # fmt: skip


def _meant(known, visit, action) -> str | None:
    """The likeliest suspect that an action mends."""
    mends = [s.cause for s in visit.view.suspects if action in known.causes[s.cause].mended_by]
    return mends[0] if mends else None

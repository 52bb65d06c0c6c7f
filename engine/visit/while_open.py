"""What is open on the boiler now, and what is worth doing before it is closed again."""

from dataclasses import dataclass

from engine import safety
from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import minutes_to_prove
from engine.visit.findings import holding, missing_before
from engine.visit.keeping import Visit
from engine.visit.opened import prevented, required_closing, shut_for
from engine.visit.state import State
from engine.visit.steps import ACTION, CHECK, Offer
from engine.visit.weighing import aim_words

OFFERED = 6
"""So many steps are offered while something is open. Judgement."""


@dataclass(frozen=True)
class OpenNow:
    """What is open, and what closing it takes.

    `innermost` are the states that nothing else open lies behind, `with_them` those on the way to
    them; `to_close` minutes of the hands, `to_prove` minutes of what closing obliges and is not
    proven yet; `obliges` its names.
    """

    innermost: tuple[str, ...]
    with_them: tuple[str, ...]
    to_close: float
    to_prove: float
    obliges: tuple[str, ...]

    def line(self) -> str:
        """What is open and how long closing takes, on one line; empty where nothing is open."""
        if not self.innermost:
            return ""
        minutes = f"{max(round(self.to_close), 1)} min to close again"
        if self.to_prove:
            minutes += f", {round(self.to_prove)} min to prove it"
        return f"{', '.join(self.innermost)} ({minutes})"


def open_now(known: Knowledge, state: State) -> OpenNow:
    """What is open now: layers only, not whether the boiler runs."""
    layers = [name for name in state.opened if known.access[name].kind == "opened"]
    behind = {name: set(graphs.opening_order(known.graph, (name,))) - {name} for name in layers}
    on_the_way = set().union(*behind.values()) if behind else set()
    passed = {proof.closing for proof in state.proofs if proof.passed}
    obliged = {closing for name in layers for closing in known.access[name].closing}
    obliges = [n for n in required_closing(known, state) if n in obliged and n not in passed]
    return OpenNow(
        innermost=tuple(known.access[n].name for n in layers if n not in on_the_way),
        with_them=tuple(known.access[n].name for n in layers if n in on_the_way),
        to_close=sum(known.access[name].close_minutes for name in layers),
        to_prove=sum(minutes_to_prove(known, name) for name in obliges),
        obliges=tuple(known.closing[name].name for name in obliges),
    )


def worth_doing(known: Knowledge, visit: Visit, most: int = OFFERED) -> tuple[Offer, ...]:
    """Checks and repairs behind what is open that open, shut and start nothing more, best first.

    They come in the order of the planner's ranking, as far as they cost less than referring. What
    holds already, was set aside or done is left out, as is the advised step.
    """
    state, view = visit.state, visit.view
    refer = next((o.expected_minutes for o in view.every if o.kind == "refer"), None)
    offers = []
    for option in view.every:
        if refer is None or option.kind not in (CHECK, ACTION) or len(offers) == most:
            continue
        if view.next and (option.kind, option.name) == (view.next.kind, view.next.id):
            continue
        kind = f"{option.kind}s"
        step = getattr(known, kind)[option.name]
        if option.expected_minutes >= refer or not reachable(known, state, kind, option.name):
            continue
        aim = aim_words(known, view, option.name) if option.kind == ACTION else ""
        offers.append(
            Offer(option.kind, option.name, step.name, step.minutes, cause=option.cause, mends=aim)
        )
    return tuple(offers)


def reachable(known: Knowledge, state: State, kind: str, name: str) -> bool:
    """Whether a step lies behind what is open, and may and can be done there as things stand."""
    step = getattr(known, kind)[name]
    wanted = graphs.opening_order(known.graph, step.access)
    behind_a_layer = any(known.access[layer].kind == "opened" for layer in wanted)
    if not behind_a_layer or not set(wanted) <= set(state.opened):
        return False
    if shut_for(known, state.opened, step, wanted) or set(wanted) & prevented(known, state):
        return False
    if kind == "actions" and missing_before(known, state, name):
        return False
    if kind == "checks" and name in holding(known, state):
        return False
    return (
        name not in state.skipped
        and safety.allowed(known, state.who, kind, name)
        and safety.possible(known, state.facts, kind, name)
    )

"""What a step costs and brings, in words that the planner's numbers carry.

A difference is told only where the planner can tell it from nothing, and no number is given more
digits than it has.
"""

from collections.abc import Mapping

from engine import explain, planner
from engine.belief.observers import reliability
from engine.knowledge import Knowledge
from engine.planner.outlook import ROUGHLY
from engine.visit.opened import required_closing
from engine.visit.state import State
from engine.visit.view import Next, View

KNOWN_TO = 0.07
"""Expected minutes are rounded to steps of no more than this share of them: what estimating rare
branches moves them by. Judgement."""

ROUND = (1, 5, 10, 50, 100, 500)
"""Steps that people round minutes to."""

SEPARATES = "It separates, an answer being at least twice as likely with one as with another"

FEW = 0.02
"""From this chance on a cause that a repair may mend is named beside the likeliest. Judgement."""


def in_hundred(probability: float) -> str:
    """A probability as people count.

    Examples
    --------
    >>> in_hundred(0.314), in_hundred(0.002), in_hundred(0.999)
    ('31 in 100', 'under 1 in 100', 'over 99 in 100')
    """
    if probability < 0.01:
        return "under 1 in 100"
    return "over 99 in 100" if probability > 0.99 else f"{round(100 * probability)} in 100"


def about(minutes: float, off: float = 0.0) -> str:
    """Minutes with no more digits than they have.

    Examples
    --------
    >>> about(6.4), about(1), about(347.3), about(38, off=7)
    ('about 6 minutes', 'about 1 minute', 'about 350 minutes', 'about 40 minutes')
    """
    coarse = max(KNOWN_TO * minutes, off, 1)
    step = max(unit for unit in ROUND if unit <= coarse)
    rounded = max(round(minutes / step) * step, 1)
    return f"about {rounded} {'minute' if rounded == 1 else 'minutes'}"


def step_name(known: Knowledge, kind: str, name: str) -> str:
    """A step as it is named in a sentence."""
    if kind == "refer":
        return "making safe and referring"
    return f"'{getattr(known, f'{kind}s')[name].name}'"


# ------------------------------------------------------------------ against another step


def saving(known: Knowledge, view: View) -> tuple[str, ...]:
    """What the advised step saves against the next best one; nothing where no price decided."""
    step = view.next
    others = [o for o in view.ranking if step and (o.kind, o.name) != (step.kind, step.id)]
    if not others or not _by_price(view):
        return ()
    runner = others[0]
    (more,) = planner.compared(view.now, [(runner.kind, runner.name)], (step.kind, step.id))
    name = step_name(known, runner.kind, runner.name)
    if more is None:
        return ()
    if more.minutes > more.off:
        return (f"It saves {about(more.minutes, more.off)} against {name}, the next best step.",)
    return (f"{_capital(name)}, the next best step, is about as good.",)


def against_advised(known: Knowledge, view: View, step: Next) -> str:
    """What a chosen step costs against the advised one; where it is not priced, why not.

    Empty for the advised step itself, for a closing step, and where nobody complains.
    """
    advised = view.next
    if (
        advised is None
        or view.thought is None
        or step.kind == "proof"
        or (step.kind, step.id) == (advised.kind, advised.id)
    ):
        return ""
    if advised.kind == "proof":
        return "It is not priced: the repair is to be proven first."
    if not _by_price(view):
        return "It is not priced: the advice does not go by minutes here."
    (more,) = planner.compared(view.now, [(step.kind, step.id)], (advised.kind, advised.id))
    if more is None:
        return f"It is not priced: {_not_known(known, view, step)}."
    name = step_name(known, advised.kind, advised.id)
    return f"In all it costs {_costs(more)} the advised step, {name}."


def many_against(known: Knowledge, view: View) -> Mapping[tuple[str, str], str]:
    """What each step of the ranking costs in all against the advised one, in few words."""
    advised = view.next
    if advised is None or advised.kind == "proof" or not _by_price(view):
        return {}
    steps = [(o.kind, o.name) for o in view.ranking]
    others = [step for step in steps if step != (advised.kind, advised.id)]
    more = planner.compared(view.now, others, (advised.kind, advised.id), ROUGHLY)
    return {step: _briefly(each) for step, each in zip(others, more, strict=True) if each}


def _costs(more) -> str:
    if abs(more.minutes) <= more.off:
        return "about as much as"
    words = about(abs(more.minutes), more.off)
    return f"{words} {'more' if more.minutes > 0 else 'less'} than"


def _briefly(more) -> str:
    if abs(more.minutes) <= more.off:
        return "about as good"
    words = about(abs(more.minutes), more.off)
    return f"in all {words} {'more' if more.minutes > 0 else 'less'}"


def _by_price(view) -> bool:
    """Whether the advised step is advised for its minutes."""
    best = view.ranking[0] if view.ranking else None
    return bool(best and view.next and (best.kind, best.name) == (view.next.kind, view.next.id))


def _not_known(known, view, step) -> str:
    """Why the planner does not know a step."""
    belief = view.thought.belief
    if step.kind == "action":
        repairs, at = view.now.problem.repairs, view.now.at
        if step.id in repairs.names:
            index = repairs.names.index(step.id)
            if at.unproven[0, index]:
                return "it was done already, and is to be proven"
            if repairs.waits(at)[0, index]:
                return "what was done before is to be proven first"
            if not at.tried[0, index]:
                return "no finding points yet at what it mends, so it may not be done"
        if not any(step.id in known.causes[s.cause].mended_by for s in view.suspects):
            return "it mends none of the suspects"
        return "it was done or set aside, or cannot be reached now"
    if step.id not in belief.space.network.background:
        return "there is nothing like it on this boiler, by its facts"
    if view.now.at.pending[0]:
        return "the repair is to be proven first"
    return "it was made or set aside, cannot be reached now, or tells nothing new"


# ------------------------------------------------------------------ what it takes and mends


def way_to_step(known: Knowledge, state: State, step) -> planner.Way:
    """What has still to be opened for a check or repair, and what that newly obliges."""
    return planner.way(known, step, state.opened, required_closing(known, state))


def taking(known: Knowledge, state: State, step: Next) -> tuple[str, ...]:
    """The minutes of a step, what of them is opening, and what of them closing again obliges."""
    if step.kind == "refer":
        return (f"The planner counts a referral as {about(step.minutes)}.",)
    entry = getattr(known, f"{step.kind}s")[step.id]
    way = way_to_step(known, state, entry)
    sentences = [f"It takes about {_minutes(step.minutes)} in all."]
    if way.states:
        names = ", ".join(known.access[name].name for name in way.states)
        opening = f" (about {_minutes(way.minutes)} of it, closing again included)"
        sentences.append(
            f"To be opened or brought about for it: {names}{opening if way.minutes else ''}."
        )
    if way.obliged:
        names = ", ".join(known.closing[name].name for name, _ in way.obliged)
        minutes = _minutes(sum(minutes for _, minutes in way.obliged))
        sentences.append(f"Closing that newly obliges: {names} (about {minutes} of it).")
    if step.kind == "action" and (more := planner.beyond_hands(known, step.id, state.who)):
        counted = ["its parts"] * bool(entry.parts) + ["others' work"] * bool(entry.others_minutes)
        sentences.append(f"In ranking only: {_minutes(more)} more for {' and '.join(counted)}.")
    return tuple(sentences)


def _minutes(minutes) -> str:
    return f"{round(minutes)} {'minute' if round(minutes) == 1 else 'minutes'}"


def aim_words(known: Knowledge, view: View, action: str) -> str:
    """The causes that a repair may mend with their chances, the likeliest first; empty where
    nobody complains."""
    if view.thought is None:
        return ""
    causes = explain.aims(view.thought.belief, known, action).causes
    return ", ".join(
        f"{known.causes[name].name} ({in_hundred(chance)})"
        for place, (name, chance) in enumerate(causes)
        if place == 0 or chance >= FEW
    )


def aiming(known: Knowledge, view: View, action: str) -> tuple[str, ...]:
    """What a repair may mend, how likely it helps at all, and what is done with it."""
    aims = explain.aims(view.thought.belief, known, action)
    if not aims.causes:
        return ("It mends none of the suspects, as far as is known.",)
    words = aim_words(known, view, action)
    sentences = [f"Chance that it mends what brought the complaint, by cause: {words}."]
    if sum(chance >= FEW for _, chance in aims.causes) > 1:
        sentences.append(f"That it mends any of them: {in_hundred(aims.any)}.")
    if view.now.at.pending[0]:
        sentences.append("One proof does for it and for what was done before it.")
    then = planner.before_proof(view.now, action)
    if then:
        then = known.actions[then].name
        sentences.append(f"The planner would do '{then}' too, before both are proven at once.")
    return tuple(sentences)


def separating(known: Knowledge, view: View, who: str, step: Next) -> tuple[str, ...]:
    """Whom a check tells apart, with the answer that tells most."""
    belief, check = view.thought.belief, step.id
    if check not in belief.space.network.background:
        return ("There is nothing like it on this boiler, by its facts.",)
    sure = reliability(known, check, who)
    pairs = explain.parted(belief, check, sure)
    if not pairs:
        return (
            "It bears on none of the leading suspects: no answer is even twice as likely with one "
            "as with another, or with it as without it.",
        )
    first = pairs[0]
    says = list(known.checks[check].outcomes.values())[first.outcome].says
    more = known.causes[first.more].name
    if first.less is None:
        times = _times(max(first.ratio, 1 / max(first.ratio, 1e-9)))
        order = "with it as without it" if first.ratio > 1 else "without it as with it"
        names = ", ".join(known.causes[pair.more].name for pair in pairs)
        return (
            f"It speaks for or against: {names}.",
            f"{more}: '{says}' is {times} as likely {order}.",
        )
    less = known.causes[first.less].name
    return (
        f"{SEPARATES}: {separated(known, step)}.",
        f"'{says}' is {_times(first.ratio)} as likely with '{more}' as with '{less}'.",
    )


def separated(known: Knowledge, step: Next) -> str:
    """Names of the suspects that a check separates, those first that it moves most."""
    return ", ".join(known.causes[name].name for name in step.separates)


def _times(ratio) -> str:
    return "more than 20 times" if ratio > 20 else f"about {round(ratio)} times"


def _capital(text) -> str:
    return text[:1].upper() + text[1:]

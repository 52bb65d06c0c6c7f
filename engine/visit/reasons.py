"""Why a step, and why a suspect: sentences over the belief's own numbers."""

from engine import explain
from engine.knowledge import Knowledge
from engine.visit.ahead import answers
from engine.visit.keeping import Visit
from engine.visit.thinking import Thought
from engine.visit.view import NAMED_ACTIONS, Next, View
from engine.visit.weighing import (
    about,
    against_advised,
    aiming,
    in_hundred,
    saving,
    separating,
    taking,
)

LED_TO = 3
"""How many suspects are named after each answer. Judgement."""

SPEAKS = (
    (20.0, "speaks very strongly"),
    (6.0, "speaks strongly"),
    (2.0, "speaks clearly"),
    (1.3, "speaks a little"),
)
"""Lowest likelihood ratio for each wording; below the last nothing is said. Judgement."""


SEEN, STANDS_BY = 0.3, 0.15
"""A suspect as likely as the first, and less likely by the second to have brought the complaint, is
said to stand by. Judgement."""


def for_and_against(
    known: Knowledge, thought: Thought, cause: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Sentences on the findings that speak for a cause, and on those against it."""
    speaks_for, against = [], []
    if cause not in thought.belief.space.network.causes:
        return (), ()
    for piece in explain.evidence(thought.belief, thought.before, thought.likelihoods, cause):
        ratio = max(piece.ratio, 1e-9)
        how = next((words for least, words in SPEAKS if max(ratio, 1 / ratio) >= least), None)
        if how is None:
            continue
        check = known.checks[piece.check]
        said = f"{check.name}: '{check.outcomes[piece.outcome].says}' {how}"
        if ratio > 1:
            speaks_for.append(f"{said} for it ({_times(ratio)} as likely with it as without).")
        else:
            against.append(f"{said} against it ({_times(1 / ratio)} as likely without it as with).")
    return tuple(speaks_for), tuple(against)


def _times(ratio) -> str:
    return f"{ratio:.1f} times" if ratio < 10 else f"{min(round(ratio), 1000)} times"


def bystanders(view: View) -> tuple[str, ...]:
    """Sentences on suspects that are likely there, and less likely what brought the complaint."""
    if view.thought is None:
        return ()
    belief = view.thought.belief
    brought = dict(zip(belief.space.network.causes, belief.to_mend(), strict=True))
    return tuple(
        f"{suspect.name}: {in_hundred(suspect.probability)} that it is so, "
        f"{in_hundred(brought[suspect.cause])} that it is to blame for the complaint."
        for suspect in view.suspects
        if suspect.probability >= SEEN and suspect.probability - brought[suspect.cause] >= STANDS_BY
    )


def on_suspicion(known: Knowledge, visit: Visit, cause: str) -> tuple[str, ...]:
    """What the findings so far say about the cause that a person suspects."""
    name = known.causes[cause].name
    thought = visit.view.thought
    if thought is None or cause not in thought.belief.space.network.causes:
        return (f"'{name}' is not listed as bringing this complaint, or not on this boiler.",)
    order = [suspect for suspect, _ in explain.suspects(thought.belief)]
    chances = dict(explain.suspects(thought.belief))
    place = order.index(cause) + 1
    first = f"You think: '{name}'. It is {explain.in_words(chances[cause])} so far, "
    first += f"{in_hundred(chances[cause])}, "
    first += "the first suspect." if place == 1 else f"number {place} of the suspects."
    speaks_for, against = for_and_against(known, thought, cause)
    return (first, *speaks_for[:3], *against[:3])


def parts_to_book(known: Knowledge, visit: Visit) -> tuple[str, ...]:
    """Parts that whoever comes may need: of the surest repair of each leading suspect."""
    lines = []
    for suspect in visit.view.suspects:
        mends = known.causes[suspect.cause].mended_by
        surest = max(mends, key=lambda action: known.probability(mends[action]))
        parts = ", ".join(f"{p.count} × {p.part}" for p in known.actions[surest].parts)
        if parts and suspect.probability >= NAMED_ACTIONS:
            lines.append(f"{parts} (for: {suspect.name}, {in_hundred(suspect.probability)})")
    return tuple(lines)


def why(known: Knowledge, visit: Visit, step: Next) -> tuple[str, ...]:
    """What a step is for: whom it separates, what it mends, what it costs and what it saves."""
    if step.kind == "proof":
        return why_closing(known, visit, step.id)
    view, sentences = visit.view, []
    if view.thought is None:
        return ("It is on the list of the service.", *taking(known, visit.state, step))
    if step.kind == "action":
        sentences += aiming(known, view, step.id)
        if step.cause:
            cause = known.causes[step.cause]
            sentences.append(f"{cause.name}: {cause.mechanism}")
    elif step.kind == "check":
        sentences += separating(known, view, visit.state.who, step)
    if step.before:
        action = known.actions[step.before].name
        return (
            f"'{action}' comes next, and not before this has come out right.",
            *sentences,
            *taking(known, visit.state, step),
        )
    sentences += taking(known, visit.state, step)
    costs = against_advised(known, view, step)
    return (*sentences, costs) if costs else (*sentences, *saving(known, view))


def why_closing(known: Knowledge, visit: Visit, closing: str) -> tuple[str, ...]:
    """What obliges a closing step."""
    opened = [
        known.access[name].name
        for name in visit.state.ever_opened
        if closing in known.access[name].closing
    ]
    done = [
        known.actions[entry.action].name
        for entry in visit.state.done
        if closing in known.actions[entry.action].verify
    ]
    sentences = [f"It was opened: {', '.join(opened)}."] if opened else []
    if done:
        sentences.append(f"It was done: {', '.join(done)}.")
    entry = known.closing[closing]
    if entry.always:
        sentences.append("It stands at the end of every repair.")
    if entry.after_safe_acts:
        sentences.append("It stands at the end of what anybody may do without opening anything.")
    return tuple(sentences)


def leads_to(known: Knowledge, visit: Visit, check: str) -> tuple[tuple[str, str], ...]:
    """For each answer of a check: the answer, how likely it is, the suspects after it, and the
    minutes that are then expected to the end."""
    if visit.view.thought is None:
        return _raises(known, check)
    lines = []
    for answer in answers(known, visit, check):
        then = "the visit stops there for danger"
        if not answer.stops:
            then = ", ".join(
                f"{known.causes[name].name} ({in_hundred(p)})"
                for name, p in answer.suspects[:LED_TO]
                if p >= 0.01
            )
            if answer.minutes is not None:
                then += f"; {about(answer.minutes)} more to the end"
        says = known.checks[check].outcomes[answer.outcome].says
        lines.append((says, f"{in_hundred(answer.chance)}: then {then}."))
    return tuple(lines)


def _raises(known, check) -> tuple[tuple[str, str], ...]:
    """What each answer of a check leads to where nobody complains."""

    def then(outcome):
        if outcome.danger:
            return "then the visit stops there for danger."
        if outcome.raises:
            return f"then this is looked into: {known.symptoms[outcome.raises].name}."
        return "then the list goes on."

    return tuple((outcome.says, then(outcome)) for outcome in known.checks[check].outcomes.values())

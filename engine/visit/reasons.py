"""Why a step, and why a suspect: sentences over the belief's own numbers."""

from engine import explain
from engine.knowledge import Knowledge
from engine.visit.keeping import Visit
from engine.visit.thinking import Thought
from engine.visit.view import NAMED_ACTIONS, Next

SPEAKS = (
    (20.0, "speaks very strongly"),
    (6.0, "speaks strongly"),
    (2.0, "speaks clearly"),
    (1.3, "speaks a little"),
)
"""Lowest likelihood ratio for each wording; below the last nothing is said. Judgement."""


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


def on_suspicion(known: Knowledge, visit: Visit, cause: str) -> tuple[str, ...]:
    """What the findings so far say about the cause that a person suspects."""
    name = known.causes[cause].name
    thought = visit.view.thought
    if cause not in thought.belief.space.network.causes:
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
    """What a step is for: whom it separates, what it costs and what it saves."""
    if step.kind == "proof":
        return why_closing(known, visit, step.id)
    sentences = []
    if step.kind == "action":
        cause = known.causes[step.cause] if step.cause else None
        if cause:
            sure = in_hundred(known.probability(cause.mended_by[step.id]))
            sentences.append(f"It mends '{cause.name}' {sure} times. {cause.mechanism}")
    elif step.separates:
        names = ", ".join(known.causes[name].name for name in step.separates)
        sentences.append(f"It separates: {names}.")
    elif step.kind == "check":
        sentences.append("It bears on none of the leading suspects.")
    sentences.append(f"It takes about {round(step.minutes)} minutes, opening and closing included.")
    if step.minutes_saved >= 0.5:
        saved = round(step.minutes_saved)
        unit = "minute" if saved == 1 else "minutes"
        sentences.append(f"It is expected to save {saved} {unit} against the next best step.")
    elif step.minutes_saved > 0:
        sentences.append("The next best step is about as good; take the one that suits you.")
    return tuple(sentences)


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
    if known.closing[closing].always:
        sentences.append("It stands at the end of every repair.")
    return tuple(sentences)


def leads_to(known: Knowledge, visit: Visit, check: str) -> tuple[tuple[str, str], ...]:
    """For each answer of a check: the answer, and how likely it is with the suspects after it."""
    belief = visit.view.thought.belief
    if check not in belief.space.network.background:
        return ()
    lines = []
    for answer in explain.what_if(belief, known, check):
        suspects = ", ".join(
            f"{known.causes[name].name} ({in_hundred(p)})"
            for name, p in answer.suspects
            if p >= 0.01
        )
        says = known.checks[check].outcomes[answer.outcome].says
        lines.append((says, f"{in_hundred(answer.probability)}: then {suspects}."))
    return tuple(lines)

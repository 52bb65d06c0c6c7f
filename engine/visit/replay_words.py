"""A replay in words: what moved between two looks, and how what was done stands to the advice."""

from dataclasses import dataclass

from engine import explain
from engine.knowledge import Knowledge
from engine.visit import events as happened
from engine.visit.keeping import Visit
from engine.visit.steps import ACTION, CHECK, PROOF, taken
from engine.visit.told import latest
from engine.visit.view import View
from engine.visit.weighing import about, against_advised, in_hundred

FIRST = 5
"""How many suspects are followed from one look to the next. Judgement."""

NAMED = 3
"""How many findings are named for and against the first suspect. Judgement."""

AS_ADVISED = "As advised."
NONE_OF_THESE, MENDED = "None of the listed causes", "What brought it is mended"
UP, DOWN, SAME = "up", "down", "as before"

ENDED_AS_ADVISED = {
    "stop": ("stopped_for_danger", "made_safe_and_referred"),
    "refer": ("made_safe_and_referred", "no_listed_cause"),
    "act": ("mended_and_proven",),
}
"""The ends that follow the advice of a view by its status."""


@dataclass(frozen=True)
class Row:
    """One suspect before and after; probabilities are None where nothing was weighed."""

    name: str
    before: float | None
    after: float | None

    def move(self) -> str:
        """Which way it went, as far as people count; empty where it was weighed only once."""
        if self.before is None or self.after is None:
            return ""
        if in_hundred(self.before) == in_hundred(self.after):
            return SAME
        return UP if self.after > self.before else DOWN

    def line(self) -> str:
        """Word and number after, which way it went, and from where."""
        if self.after is None:
            return f"no longer weighed, before: {_chance(self.before)}"
        move = self.move()
        if move in (UP, DOWN):
            return f"{_chance(self.after)}, {move} from {_chance(self.before)}"
        return ", ".join(filter(None, [_chance(self.after), move]))


def _chance(probability) -> str:
    return f"{explain.in_words(probability)} ({in_hundred(probability)})"


def rows(known: Knowledge, before: View | None, after: View) -> tuple[Row, ...]:
    """The first suspects after, then those that were among the first before; then the rest."""
    was, now = _chances(before), _chances(after)
    if not was and not now:
        return ()
    leading = [view.suspects[:FIRST] for view in (after, before) if view]
    causes = dict.fromkeys(s.cause for suspects in leading for s in suspects)
    found = [Row(known.causes[c].name, _of(was, c), _of(now, c)) for c in causes]
    found.append(Row(NONE_OF_THESE, _of(was, NONE_OF_THESE), _of(now, NONE_OF_THESE)))
    if was.get(MENDED) or now.get(MENDED):
        found.append(Row(MENDED, _of(was, MENDED), _of(now, MENDED)))
    return tuple(found)


def _chances(view) -> dict[str, float]:
    """Every suspect's probability, and those of the rest; empty where nothing is weighed."""
    if view is None or view.thought is None:
        return {}
    rest = {NONE_OF_THESE: view.none_of_these, MENDED: view.mended}
    return {**dict(explain.suspects(view.thought.belief)), **rest}


def _of(chances, cause) -> float | None:
    """A probability, 0 for a cause that is none of the suspects; None where none was weighed."""
    return chances.get(cause, 0.0) if chances else None


# ------------------------------------------------------------------ what changed


def changed(known: Knowledge, before: Visit | None, after: Visit) -> tuple[str, ...]:
    """What is otherwise after a moment than it was before, in sentences."""
    lines = []
    if before and len(after.history) - len(before.history) == 1:
        lines += _meant(known, after)
    lines += _danger(before, after)
    lines += _first(before, after)
    lines += [f"Unusual: {text}" for text in _new(before, after, lambda v: v.view.unusual)]
    lines += _hands(known, before, after)
    lines += _minutes(before, after)
    return tuple(lines)


def _meant(known, after) -> tuple[str, ...]:
    """What the answer just entered means."""
    if not isinstance(after.history[-1][1], happened.Found | happened.Proved):
        return ()
    return latest(known, after)[1][1:]


def _danger(before, after) -> list[str]:
    was = before.state.danger if before else None
    now = after.state.danger
    if now and now != was:
        return [f"Danger sign: {now[0]}. The visit stops, and nothing is weighed."]
    if was and not now:
        return [f"The danger sign '{was[0]}' stands no longer."]
    return []


def _first(before, after) -> list[str]:
    now = after.view.suspects[:1]
    was = before.view.suspects[:1] if before else ()
    if not now:
        return []
    if not was:
        return [f"First suspect: {now[0].name}."]
    if was[0].cause == now[0].cause:
        return [f"The first suspect stays: {now[0].name}."]
    return [f"First suspect: {now[0].name}; before: {was[0].name}."]


def _new(before, after, part) -> list:
    old = part(before) if before else ()
    return [each for each in part(after) if each not in old]


def _hands(known, before, after) -> list[str]:
    """What was opened and shut, what that obliges, and what is proven."""
    pairs = (
        ("Newly open or running", known.access, lambda v: v.state.opened, before, after),
        ("Shut or ended", known.access, lambda v: v.state.opened, after, before),
        ("Newly to be proven before leaving", known.closing, lambda v: v.view.still_open,
         before, after),
        ("Proven or no longer asked for", known.closing, lambda v: v.view.still_open,
         after, before),
    )  # fmt: skip
    lines = []
    for title, entries, part, one, other in pairs:
        names = [entries[name].name for name in _new(one, other, part)] if other else []
        lines += [f"{title}: {', '.join(names)}."] if names else []
    return lines


def _minutes(before, after) -> list[str]:
    now = after.view.expected_minutes
    was = before.view.expected_minutes if before else None
    if now is None:
        return []
    if was is None or about(was) == about(now):
        return [f"To a proven end or a referral: {about(now)} expected."]
    return [f"To a proven end or a referral: {about(now)} expected, before: {about(was)}."]


# ------------------------------------------------------------------ against the advice


def compared(known: Knowledge, before: Visit, event: happened.Event) -> tuple[str, ...]:
    """Whether the advice was followed, and what was done instead; empty where no step was made."""
    view, advised = before.view, before.view.next
    if isinstance(event, happened.Closed):
        follows = event.end in ENDED_AS_ADVISED.get(view.status, ())
        return (AS_ADVISED,) if follows else ("The visit was ended instead of going on.",)
    if isinstance(event, happened.Skipped):
        return _set_aside(advised, event)
    step = _step(event)
    if step is None:
        return ()
    kind, name, cause = step
    if advised and (kind, name) == (advised.kind, advised.id):
        return (AS_ADVISED,)
    if kind == CHECK and name in before.state.current():
        return ("An earlier answer was given anew.",)
    entries = {CHECK: known.checks, ACTION: known.actions, PROOF: known.closing}
    said = f"Done instead: {entries[kind][name].name}."
    if view.thought is None:
        return (said,)
    costs = against_advised(known, view, taken(known, before, kind, name, cause))
    return (said, *filter(None, [costs]))


def _set_aside(advised, event) -> tuple[str, ...]:
    if advised and event.step == advised.id:
        return ("The advised step was set aside.",)
    return ("Another step was set aside.",)


def _step(event) -> tuple[str, str, str | None] | None:
    match event:
        case happened.Found():
            return CHECK, event.check, None
        case happened.ActionDone():
            return ACTION, event.action, event.cause
        case happened.Proved():
            return PROOF, event.closing, None
    return None

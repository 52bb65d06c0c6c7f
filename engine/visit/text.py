"""A view as plain text, for a terminal: caution before step, step before reason, then numbers."""

from engine.knowledge import Knowledge
from engine.visit import events as happened
from engine.visit.keeping import Visit
from engine.visit.opened import word_to_shut
from engine.visit.reasons import bystanders
from engine.visit.told import latest
from engine.visit.view import Next, View
from engine.visit.weighing import SEPARATES, aiming, saving, separated

SUSPECTS, NAMED = 5, 0.01
"""How many suspects are written out at the most, and from which probability on."""


def as_text(knowledge: Knowledge, view: View) -> str:
    """The whole view of one case."""
    parts = [view.headline.upper() if view.status == "stop" else view.headline]
    if view.danger:
        parts += [*bullets(view.cautions), f"Who acts: {view.danger.who_acts}"]
    parts += suspect_lines(view)
    if view.next and view.next.kind != "refer":
        parts += ["", *step_lines(knowledge, view.next)]
        parts += _titled("Why", why_lines(knowledge, view))
    parts += _titled("Figures", _figures(view))
    parts += _titled("Unusual", view.unusual)
    parts += _titled("If it is", [action_line(knowledge, action) for action in view.actions])
    closing = [knowledge.closing[name].name for name in view.closing]
    parts += _titled("To be proven before leaving", closing)
    if view.expected_minutes is not None:
        minutes = f"About {view.expected_minutes:.0f} minutes to a proven end"
        parts += ["", f"{minutes}, the wait for a referral among them as far as one is likely."]
    return "\n".join(parts)


def bullets(texts) -> list[str]:
    """One line for each text."""
    return [f"  - {text}" for text in texts]


def _titled(title, texts) -> list[str]:
    return ["", f"{title}:", *bullets(texts)] if texts else []


def _figures(view) -> list[str]:
    return [f"{entry['figure'].title}: {entry['figure'].shown()}" for entry in view.calculations]


def suspect_lines(view: View) -> list[str]:
    """The first suspects with word and percent; what is on none of the lists comes last."""
    if not view.suspects:
        return []
    lines = [
        f"  {suspect.probability:4.0%}  {suspect.name} ({suspect.word})"
        for suspect in view.suspects[:SUSPECTS]
        if suspect.probability >= NAMED
    ]
    if view.mended >= NAMED:
        lines.append(f"  {view.mended:4.0%}  What brought the complaint is mended")
    lines.append(f"  {view.none_of_these:4.0%}  None of the listed causes")
    return ["", "Suspects:", *lines, *(f"        {line}" for line in bystanders(view))]


def news_lines(knowledge: Knowledge, visit: Visit) -> list[str]:
    """What the answer just given means; nothing where something else was entered last."""
    if not isinstance(visit.history[-1][1], happened.Found):
        return []
    kind, lines = latest(knowledge, visit)
    raised = [
        f"  It brings a complaint: {knowledge.symptoms[each.symptom].name}"
        for each in visit.state.raised
        if each.check == visit.history[-1][1].check
    ]
    return [f"{kind}: {lines[0]}", *(f"  {line}" for line in lines[1:]), *raised, ""]


def step_lines(knowledge: Knowledge, step: Next) -> list[str]:
    """Cautions, then what to shut and open, then the moves of the hands."""
    lines = [f"{step.name} (about {step.minutes:.0f} min)", *(f"  ! {t}" for t in step.cautions)]
    if step.governs:
        lines.append(f"  Before all of this: {'; '.join(step.governs)}")
    for name in step.to_shut:
        state = knowledge.access[name]
        lines.append(f"  {state.name}: {word_to_shut(state)}")
        lines += [f"      {text}" for text in state.close_how]
    for name in step.to_open:
        state = knowledge.access[name]
        lines += [f"  {state.name}", *(f"      {text}" for text in state.open_how)]
    if step.kind == "refer":
        return lines
    kind = {"check": "checks", "action": "actions", "proof": "closing"}[step.kind]
    entry = getattr(knowledge, kind)[step.id]
    if step.kind == "check":
        lines += [f"  With: {entry.instrument}"] if entry.instrument else []
        lines += [f"  Where: {entry.where}"] if entry.where else []
    if step.kind == "check" and entry.photograph:
        lines.append(f"  Before it is gone: {entry.photograph}")
    lines += [f"  {place}. {text}" for place, text in enumerate(entry.how, start=1)]
    return [*lines, *(f"  Sheet: {text}" for text in step.sheet)]


def why_lines(knowledge: Knowledge, view: View) -> list[str]:
    """What the advised step is for, and what it saves."""
    step, lines = view.next, []
    if step.separates:
        lines.append(f"{SEPARATES}: {separated(knowledge, step)}.")
    if step.kind == "action":
        lines += aiming(knowledge, view, step.id)
    return [*lines, *saving(knowledge, view)]


def action_line(knowledge: Knowledge, action) -> str:
    """A repair, what it is for, and the parts to bring."""
    parts = f" (bring: {', '.join(action.parts)})" if action.parts else ""
    return f"{knowledge.causes[action.cause].name}: {action.name}{parts}"

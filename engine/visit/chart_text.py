"""A fault path chart as plain text, to be read by torch light, and as JSON for other programs."""

import textwrap

from engine.visit import chart_words as words
from engine.visit.chart_marks import Marks, marks
from engine.visit.chart_tree import ON, Chart, End, Place, Step
from engine.visit.reasons import in_hundred

WIDTH = 100
"""Signs on a line."""

INDENT = 4


def as_text(chart: Chart) -> str:
    """The whole chart: what it was made for, what ends everything, the cautions, steps, ends.

    Below each answer stands, further in, what it leads to. A step names the cautions that are new
    on its path by their first sentence; in full they stand before the first step.
    """
    marked = marks(chart)
    lines = [line for text in (words.title(chart), *words.made_for(chart)) for line in _wrap(text)]
    lines += ["", *_wrap(words.danger_line(chart))]
    lines += [line for text in chart.to_begin for line in _wrap(f"! {text}")]
    if marked.cautions:
        lines += ["", "Cautions"]
        for text, number in marked.cautions.items():
            lines += _wrap(f"{number}. {text}", INDENT)
        lines += _wrap(f"Before all of this: {'; '.join(marked.governs)}.", INDENT)
    if isinstance(chart.root, Step):
        lines += ["", "Steps", *_place(chart.root, marked, (), INDENT)]
    lines += ["", "Ends"] if marked.ends else []
    for end, letter in marked.ends.items():
        lines += _end(end, letter, marked)
    return "\n".join(lines)


def _place(place: Place, marked: Marks, told: tuple[str, ...], indent: int) -> list[str]:
    """A place and all below it; `told` are the cautions named on the way to it."""
    if isinstance(place, End):
        letter = marked.letter(place)
        lines = _wrap(
            f"= {letter}  {_reached(place)}" if letter else f"= {_reached(place)}", indent
        )
        return lines + (_more(place, marked, told, indent + INDENT) if place.kind == ON else [])
    lines = _wrap(f"{place.number}  {place.name} (about {round(place.minutes)} min)", indent)
    indent += INDENT
    lines += _before(place, marked, told, indent)
    told = (*told, *place.cautions)
    figure = f" ({place.figure})" if place.figure else ""
    lines += _wrap(f"? {place.asks}{figure}", indent)
    for answer in place.answers:
        lines += _wrap(f"- {words.answer_words(answer)} ({in_hundred(answer.chance)})", indent)
        lines += _place(answer.then, marked, told, indent + INDENT)
    return lines


def _reached(end: End) -> str:
    """An end where a path reaches it, on a repair with how sure its cause is there."""
    meant = [s for s in end.suspects if s.cause == end.cause]
    sure = f" ({meant[0].word}, {in_hundred(meant[0].probability)})" if meant else ""
    return words.end_words(end) + sure


def _before(place: Place, marked: Marks, told: tuple[str, ...], indent: int) -> list[str]:
    """Cautions, and what has to be shut, opened or running first."""
    lines = []
    for text in place.cautions:
        if text not in told:
            lines += _wrap(f"! {marked.cautions[text]}. {words.act_of(text)}", indent)
    again = [str(marked.cautions[text]) for text in place.cautions if text in told]
    if again:
        lines += _wrap(f"! Again {', '.join(again)}", indent)
    return lines + (_wrap(f"First: {'; '.join(place.first)}", indent) if place.first else [])


def _end(end: End, letter: str, marked: Marks) -> list[str]:
    lines = _wrap(f"{letter}  {words.end_words(end)}", INDENT)
    indent = 2 * INDENT
    for place, text in enumerate(end.do, 1):
        lines += _wrap(f"{place}. {text}", indent)
    for text in end.do_not:
        lines += _wrap(f"! {text}", indent)
    return lines + _more(end, marked, (), indent)


def _more(end: End, marked: Marks, told: tuple[str, ...], indent: int) -> list[str]:
    """Cautions and first moves of an end, and what else it says."""
    lines = _before(end, marked, told, indent)
    for title, text in words.details(end):
        lines += _wrap(f"{title}: {text}.", indent)
    return lines


def _wrap(text: str, indent: int = 0) -> list[str]:
    """Text on lines of at most `WIDTH`, the further ones indented by two more."""
    first, more = " " * indent, " " * (indent + 2)
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=more) or [""]


def as_json(chart: Chart) -> dict:
    """The chart in the form that other programs rely on."""
    return {
        "complaints": list(chart.setup.symptoms),
        "who": chart.setup.who,
        "facts": dict(chart.setup.facts),
        "contexts": list(chart.setup.contexts),
        "knowledge": chart.version,
        "depth": chart.depth,
        "least_chance": chart.least_chance,
        "steps": len(chart.steps()),
        "ended": chart.ended,
        "made_for": list(words.made_for(chart)),
        "stop_at_once": list(chart.danger_signs),
        "to_begin": list(chart.to_begin),
        "tree": _as_json(chart.root),
    }


def _as_json(place: Place) -> dict:
    common = {
        "reach": place.reach,
        "suspects": [
            {"cause": s.cause, "name": s.name, "probability": s.probability} for s in place.suspects
        ],
        "first": list(place.first),
        "cautions": list(place.cautions),
    }
    if isinstance(place, Step):
        return {
            "kind": "check", "id": place.check, "name": place.name, "number": place.number,
            "asks": place.asks, "figure": place.figure, "minutes": place.minutes, **common,
            "answers": [
                {
                    "outcome": answer.outcome, "says": answer.says, "band": answer.band,
                    "typical": answer.typical, "danger": answer.danger, "chance": answer.chance,
                    "then": _as_json(answer.then),
                }
                for answer in place.answers
            ],
        }  # fmt: skip
    return {
        "kind": place.kind, "id": place.action, "name": place.says, "cause": place.cause, **common,
        "bring": list(place.bring), "prove": list(place.prove), "do": list(place.do),
        "do_not": list(place.do_not), "who_acts": place.who_acts, "next": place.onward,
    }  # fmt: skip

"""A fault path chart as a drawing in the DOT language of Graphviz.

Shapes and lines carry the meaning, so that it reads in black and white: a round box is a check, a
double one a repair, one with marked corners a referral, a thick octagon a stop, a dashed one a
place where only the chart ends. Answers too rare to be followed stand in the box of their check.
"""

import textwrap
from itertools import count

from engine.visit import chart_words as words
from engine.visit.chart_marks import Marks, marks
from engine.visit.chart_tree import ON, RARE, REFER, REPAIR, STOP, Answer, Chart, End, Place
from engine.visit.reasons import in_hundred

WRAP, WRAP_HEAD = 26, 110
"""Signs on a line of a box or beside an arrow, and of the heading."""

SHAPES = {
    REPAIR: "shape=box, peripheries=2",
    REFER: "shape=box, style=diagonals",
    STOP: "shape=octagon, penwidth=4",
    ON: "shape=box, style=dashed",
}
CHECK = 'shape=box, style="rounded"'
YOU_ARE_HERE = "YOU ARE HERE"
HERE = "penwidth=5"
"""The frame of the place where one stands."""


def as_dot(chart: Chart, here: tuple[str, ...] | None = None) -> str:
    """The chart in DOT, headed with what it was made for.

    Parameters
    ----------
    chart : Chart
    here : tuple of str, optional
        The answers that lead to the place to be marked, or to a rare end of it. The heading is
        left out then, as it stands beside the picture.
    """
    way = [] if here is None else [p for p in chart.along(here) if not _is_rare(p)]
    standing = way[-1] if way else None
    head = f"label={_lines(_heading(chart), WRAP_HEAD)}; labelloc=t; labeljust=l;"
    lines = [
        "digraph fault_paths {",
        '  rankdir=LR; bgcolor=white; nodesep=0.12; ranksep=0.3; fontname="Helvetica";',
        '  node [fontname="Helvetica", fontsize=14, margin="0.12,0.06"];',
        '  edge [fontname="Helvetica", fontsize=12, arrowsize=0.7];',
        *([f"  {head}"] if here is None else []),
    ]
    _draw(chart.root, marks(chart), standing, count(), lines)
    return "\n".join([*lines, "}"])


def _draw(place: Place, marked: Marks, standing: Place | None, numbers, lines: list[str]) -> int:
    """Add a place and all below it; the number of its box."""
    number = next(numbers)
    here = place is standing
    if isinstance(place, End):
        look, text = SHAPES[place.kind], words.end_words(place)
        acts = () if place.kind == ON else place.cautions
        notes = [f"! {words.act_of(text)}" for text in (*place.do[:1], *acts)]
        if place.kind == ON:
            notes = [*_hazards(marked, place), f"next: {place.onward}"]
            notes += [words.suspects_words(place.suspects[:2])] if place.suspects else []
        ways = []
    else:
        look, text = CHECK, f"{place.number}  {place.name}"
        notes = [f"about {round(place.minutes)} min", *_hazards(marked, place)]
        notes += [f"first: {'; '.join(place.first)}"] if place.first else []
        rare = [answer for answer in place.answers if _is_rare(answer.then)]
        notes += [f"{words.KINDS[RARE]}: {_answer(answer)}" for answer in rare]
        ways = [answer for answer in place.answers if not _is_rare(answer.then)]
    label = _lines([*([YOU_ARE_HERE] if here else []), text, *notes])
    lines.append(f"  n{number} [{look}{f', {HERE}' if here else ''}, label={label}];")
    for answer in ways:
        after = _draw(answer.then, marked, standing, numbers, lines)
        lines.append(f"  n{number} -> n{after} [label={_lines([_answer(answer)])}];")
    return number


def _hazards(marked: Marks, place: Place) -> list[str]:
    """What the cautions before a check are about; in full they stand with the chart's text."""
    named = dict.fromkeys(marked.hazards[text] for text in place.cautions)
    return [f"! {', '.join(named)}"] if named else []


def _is_rare(place: Place) -> bool:
    return isinstance(place, End) and place.kind == RARE


def _answer(answer: Answer) -> str:
    return f"{words.answer_words(answer)} ({in_hundred(answer.chance)})"


def _heading(chart: Chart) -> list[str]:
    rare = f"{words.KINDS[RARE]}: {words.too_rare(chart.least_chance)}."
    return [words.title(chart), *words.made_for(chart), rare, words.danger_line(chart), " "]


def _lines(texts: list[str], width: int = WRAP) -> str:
    """A quoted label, each text wrapped and set flush left."""
    wrapped = [line for text in texts for line in textwrap.wrap(text, width) or [""]]
    escaped = (line.replace("\\", "\\\\").replace('"', '\\"') for line in wrapped)
    return '"' + "".join(f"{line}\\l" for line in escaped) + '"'

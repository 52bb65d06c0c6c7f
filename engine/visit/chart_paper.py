"""A fault path chart on A4 paper, folded once into two leaves and used with no device.

Steps are numbered and ends lettered; every answer points at the one or the other, so that nobody
has to follow lines with a finger in a glove.
"""

import math
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from fpdf import FPDF

from engine.visit import chart_words as words
from engine.visit.chart_marks import Marks, came_from, marks
from engine.visit.chart_tree import RARE, STOP, Chart, End, Place, Step

WIDTH, HEIGHT, MARGIN, FOLD_GAP = 297.0, 210.0, 8.0, 8.0  # mm, landscape
LEAF = WIDTH / 2 - MARGIN - FOLD_GAP
FOOT = 5.0  # mm kept free at the bottom for the page's name
SIZES = (9.0, 8.5, 8.0, 7.5, 7.0)
"""Sizes of letters in points: the largest that needs no more pages than the smallest."""

LEADING = 1.18
POINT = 25.4 / 72  # mm
INDENT, RIGHT_GAP = 3.5, 4.0  # mm

_SIGNS = str.maketrans(
    {"−": "-", "–": "-", "—": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "→": "->", "…": "...",
     "Ω": "ohm", "μ": "µ", "≤": "at most ", "≥": "at least ", "₂": "2", "\u202f": " "}
)  # fmt: skip
"""Signs that the fonts built into every PDF reader do not hold."""


@dataclass(frozen=True)
class _Row:
    """A paragraph, with what stands at its right edge."""

    text: str
    right: str = ""
    bold: bool = False
    indent: int = 0


@dataclass(frozen=True)
class _Set:
    """A row set in a size of letters: the lines that its text is broken into."""

    row: _Row
    lines: tuple[str, ...]


_Block = tuple[_Row, ...]  # kept together where a leaf has the room
_Leaf = list[tuple[float, tuple[_Set, ...]]]  # blocks, each with its top


def as_pdf(chart: Chart, made_on: date) -> bytes:
    """The chart as a PDF of as few pages as can be read without glasses.

    Parameters
    ----------
    chart : Chart
    made_on : date
        Printed on it; the same chart of the same day gives the same file.
    """
    blocks = tuple(_blocks(chart, made_on))
    ruler = _pdf(chart, made_on)
    ruler.add_page()  # without a page nothing can be measured
    laid = [(size, _leaves(ruler, blocks, size)) for size in SIZES]
    pages = min(_pages(leaves) for _, leaves in laid)
    size, leaves = next((size, leaves) for size, leaves in laid if _pages(leaves) == pages)
    pdf = _pdf(chart, made_on)
    for place, leaf in enumerate(leaves):
        if place % 2 == 0:
            _new_page(pdf, chart, place // 2 + 1, pages)
        left = MARGIN if place % 2 == 0 else WIDTH / 2 + FOLD_GAP
        for top, block in leaf:
            _draw(pdf, block, left, top, size)
    return bytes(pdf.output())


def _pages(leaves) -> int:
    return math.ceil(len(leaves) / 2)


def latin(text: str) -> str:
    """Text in signs that the fonts built into every PDF reader hold.

    Examples
    --------
    >>> latin("−0.7 % ± 2 µA, 1 MΩ, ≤ 5 m³")
    '-0.7 % ± 2 µA, 1 Mohm, at most  5 m³'
    """
    text = text.translate(_SIGNS)
    parts = (
        sign if sign.encode("latin-1", "ignore") else unicodedata.normalize("NFKD", sign)
        for sign in text
    )
    return "".join(parts).encode("latin-1", "replace").decode("latin-1")


# ------------------------------------------------------------------ what is printed


def _blocks(chart: Chart, made_on: date) -> Iterator[_Block]:
    marked = marks(chart)
    yield (
        _Row(words.title(chart), bold=True),
        _Row(f"Made on {made_on.isoformat()}."),
        *(_Row(line) for line in words.made_for(chart)),
    )
    yield (
        _Row(words.danger_line(chart), bold=True),
        *(_Row(f"! {line}") for line in chart.to_begin),
    )
    if any(isinstance(place, End) and place.kind == RARE for place in chart.places()):
        yield (_Row(f"{_rare()} means: {words.too_rare(chart.least_chance)}."),)
    if marked.cautions:
        yield (
            _Row("Cautions, by number", bold=True),
            *(_Row(f"!{number}  {text}") for text, number in marked.cautions.items()),
            _Row(f"Before all of this: {'; '.join(marked.governs)}."),
        )
    before = came_from(chart)
    for step in chart.steps():
        yield tuple(_step(step, marked, before.get(step.number)))
    for end, letter in marked.ends.items():
        yield tuple(_end(end, letter, marked))


def _rare() -> str:
    return words.KINDS[RARE].lower()


def _step(step: Step, marked: Marks, before: int | None) -> Iterator[_Row]:
    origin = f"from {before}, " if before else ""
    right = f"{origin}{round(step.minutes)} min"
    yield _Row(f"{step.number}  {step.name}", right=right, bold=True)
    if step.cautions:
        numbers = "  ".join(f"!{marked.cautions[text]}" for text in step.cautions)
        yield _Row(f"Caution  {numbers}", bold=True, indent=1)
    yield from _first(step)
    figure = f" {step.figure}:" if step.figure else ""
    yield _Row(f"{step.asks}{figure}", indent=1)
    for answer in step.answers:
        then = answer.then
        target = str(then.number) if isinstance(then, Step) else marked.letter(then) or _rare()
        stop = f"{words.KINDS[STOP]}  " if answer.danger else ""
        yield _Row(words.answer_words(answer), right=f"{stop}{target}", indent=2)


def _first(place: Place) -> Iterator[_Row]:
    """What has to be shut, opened or running first."""
    if place.first:
        yield _Row(f"First: {'; '.join(place.first)}.", indent=1)


def _end(end: End, letter: str, marked: Marks) -> Iterator[_Row]:
    yield _Row(f"{letter}  {words.end_words(end)}", bold=True)
    for place, text in enumerate(end.do, 1):
        yield _Row(f"{place}. {text}", indent=1)
    for text in end.do_not:
        yield _Row(f"! {text}", indent=1)
    if end.cautions:
        acts = (f"!{marked.cautions[text]} {words.act_of(text)}" for text in end.cautions)
        yield _Row("  ".join(acts), indent=1)
    yield from _first(end)
    for title, text in words.details(end):
        yield _Row(f"{title}: {text}.", indent=1)


# ------------------------------------------------------------------ where it stands


def _pdf(chart: Chart, made_on: date) -> FPDF:
    pdf = FPDF(orientation="landscape", format="A4")
    pdf.set_auto_page_break(False)
    pdf.c_margin = 0.0
    pdf.set_title(latin(words.title(chart)))
    pdf.set_lang("en")
    pdf.set_creation_date(datetime.combine(made_on, time(), UTC))
    return pdf


def _leaves(ruler: FPDF, blocks: Iterable[_Block], size: float) -> list[_Leaf]:
    """The blocks spread over leaves; one too high for a leaf is cut between its rows."""
    leaves: list[_Leaf] = [[]]
    line, bottom = size * POINT * LEADING, HEIGHT - MARGIN - FOOT
    top = MARGIN
    for block in blocks:
        whole = tuple(_Set(row, _broken(ruler, row, size)) for row in block)
        gap = 0.5 * line if len(block) > 1 else 0.0
        fits = _count(whole) * line <= bottom - MARGIN
        for part in [whole] if fits else [(row,) for row in whole]:
            height = _count(part) * line
            if leaves[-1] and top + gap + height > bottom:
                leaves.append([])
                top = MARGIN
            top += gap if leaves[-1] else 0.0
            leaves[-1].append((top, part))
            top += height
            gap = 0.0
    return leaves


def _count(rows: Iterable[_Set]) -> int:
    return sum(len(row.lines) for row in rows)


def _broken(ruler, row, size) -> tuple[str, ...]:
    """A row's text in lines that leave its right edge free."""
    ruler.set_font("helvetica", "B", size)
    right = ruler.get_string_width(latin(row.right)) + RIGHT_GAP if row.right else 0.0
    ruler.set_font("helvetica", "B" if row.bold else "", size)
    room = LEAF - row.indent * INDENT - right
    return tuple(ruler.multi_cell(room, 1, latin(row.text), dry_run=True, output="LINES") or [""])


def _new_page(pdf, chart, page, pages) -> None:
    """An empty page with its fold marks and, of several, its name."""
    pdf.add_page()
    pdf.set_line_width(0.2)
    middle = WIDTH / 2
    for start, end in ((0.0, MARGIN), (HEIGHT - MARGIN, HEIGHT)):
        pdf.line(middle, start, middle, end)
    pdf.set_font("helvetica", "", SIZES[-1])
    pdf.text(middle + 1, HEIGHT - 2, "fold")
    if pages > 1:
        name = f"{words.title(chart)}, knowledge {chart.version}: page {page} of {pages}"
        pdf.text(MARGIN, HEIGHT - 3, latin(name))


def _draw(pdf, block, left, top, size) -> None:
    line = size * POINT * LEADING
    if len(block) > 1:
        pdf.set_line_width(0.15)
        pdf.line(left, top - 0.2 * line, left + LEAF, top - 0.2 * line)
    for place in block:
        start = left + place.row.indent * INDENT
        pdf.set_font("helvetica", "B" if place.row.bold else "", size)
        for text in place.lines:
            pdf.set_xy(start, top)
            pdf.cell(LEAF, line, text)
            top += line
        if place.row.right:
            begin = start + pdf.get_string_width(place.lines[-1])
            _point(pdf, place.row, begin, left + LEAF, top - line, size)


def _point(pdf, row, begin, edge, top, size) -> None:
    """What stands at the right edge, and dots that lead the eye to it."""
    line = size * POINT * LEADING
    pdf.set_font("helvetica", "B", size)
    start = edge - pdf.get_string_width(latin(row.right))
    pdf.set_xy(start, top)
    pdf.cell(edge - start, line, latin(row.right))
    if not row.bold and start - begin > RIGHT_GAP:
        pdf.set_dash_pattern(dash=0.3, gap=1.2)
        pdf.line(begin + RIGHT_GAP / 2, top + 0.75 * line, start - RIGHT_GAP / 2, top + 0.75 * line)
        pdf.set_dash_pattern()

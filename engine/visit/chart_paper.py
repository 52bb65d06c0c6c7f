"""A fault path chart on one sheet of paper, folded twice like a letter and used with no device.

Three panels a side, two sides at most; of a longer chart the checks stay that bring the most visits
to an end.
"""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from functools import cache, partial

from fpdf import FPDF

from engine.errors import UnreadableValue
from engine.visit import chart_words as words
from engine.visit.chart_cut import cut
from engine.visit.chart_rows import Block, Row, blocks
from engine.visit.chart_tree import Chart
from engine.visit.paper_letters import LETTERS, NOT_AS_TYPED, add_letters, held, printable

PAPERS = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}
"""Width and height of a sheet laid across [mm]: ISO 216, ANSI/ASME Y14.1."""

PANELS, SIDES = 3, 2
MARGIN, FOLD_GAP = 6.0, 3.5  # mm, from the edge of the sheet and from a fold
FOOT = 2.5  # mm kept free at the bottom for the name of the side
SIZES = (9.0, 8.5, 8.0, 7.5)
"""Sizes of letters in points: the largest in which all of the chart fits, or else the smallest."""

LEADING = 1.13
POINT = 25.4 / 72  # mm
INDENT, RIGHT_GAP = 3.0, 3.0  # mm


@dataclass(frozen=True)
class _Set:
    """A row set in a size of letters: the lines that its text is broken into."""

    row: Row
    lines: tuple[str, ...]


_Panel = list[tuple[float, tuple[_Set, ...]]]  # blocks, each with its top


@dataclass(frozen=True)
class _Sheet:
    """Paper, and the letters on it [mm, points]."""

    width: float
    height: float
    size: float

    @property
    def line(self) -> float:
        return self.size * POINT * LEADING

    @property
    def bottom(self) -> float:
        return self.height - MARGIN - FOOT

    @property
    def panel(self) -> float:
        """Width of the text in each panel."""
        return self.width / PANELS - MARGIN - FOLD_GAP

    def left(self, place: int) -> float:
        """Where the text of a panel begins: the outer ones keep clear of the paper's edge."""
        spare = (self.width - PANELS * self.panel - 2 * MARGIN) / (PANELS - 1)
        return MARGIN + place % PANELS * (self.panel + spare)


_Ruler = Callable[[_Sheet, Row], tuple[str, ...]]


def as_pdf(chart: Chart, made_on: date, paper: str = "a4") -> bytes:
    """The chart as a PDF of one sheet that can be read without glasses.

    Parameters
    ----------
    chart : Chart
    made_on : date
        Printed on it; the same chart of the same day gives the same file.
    paper : str
        A key of `PAPERS`.

    Raises
    ------
    UnreadableValue
        If there is no such paper.

    Notes
    -----
    Only a chart that is too wordy for two sides with a single check runs on to further sheets.
    """
    if paper not in PAPERS:
        raise UnreadableValue(f"there is no paper {paper!r}; write {' or '.join(PAPERS)}")
    sheet, panels = _fitted(chart, made_on, paper)
    pdf = _pdf(chart, made_on, paper)
    sides = math.ceil(len(panels) / PANELS)
    for place, panel in enumerate(panels):
        if place % PANELS == 0:
            _new_side(pdf, chart, sheet, place // PANELS + 1, sides)
        for top, block in panel:
            _draw(pdf, sheet, block, sheet.left(place), top)
    return bytes(pdf.output())


def _fitted(chart: Chart, made_on: date, paper: str) -> tuple[_Sheet, list[_Panel]]:
    """The largest letters in which the chart fits one sheet; else as many checks as fit."""
    pdf = _pdf(chart, made_on, paper)
    pdf.add_page()  # without a page nothing can be measured
    ruler = cache(partial(_broken, pdf))  # most rows stay the same when checks are cut
    whole = len(chart.steps())

    def laid(most, size):
        sheet = _Sheet(*PAPERS[paper], size)
        part = chart if most >= whole else cut(chart, most)
        printed = list(blocks(part, made_on, whole))
        if not all(held(row.text + row.right) for block in printed for row in block):
            printed.insert(1, (Row(NOT_AS_TYPED),))
        return sheet, _panels(ruler, sheet, printed)

    for size in SIZES:
        sheet, panels = laid(whole, size)
        if _fits(panels):
            return sheet, panels
    fewest, most = 1, max(whole, 1)  # `most` is too many
    while most - fewest > 1:
        middle = (fewest + most) // 2
        fewest, most = (middle, most) if _fits(laid(middle, SIZES[-1])[1]) else (fewest, middle)
    return laid(fewest, SIZES[-1])


def _fits(panels) -> bool:
    return len(panels) <= PANELS * SIDES


def _pdf(chart: Chart, made_on: date, paper: str) -> FPDF:
    width, height = PAPERS[paper]
    pdf = FPDF(orientation="landscape", format=(height, width))
    pdf.set_auto_page_break(False)
    pdf.c_margin = 0.0
    add_letters(pdf)
    pdf.set_title(words.title(chart))
    pdf.set_lang("en")
    pdf.set_creation_date(datetime.combine(made_on, time(), UTC))
    return pdf


def _panels(ruler: _Ruler, sheet: _Sheet, printed: Iterable[Block]) -> list[_Panel]:
    """The blocks spread over panels; one too high for a panel is cut between its lines."""
    panels: list[_Panel] = [[]]
    top = MARGIN
    for block in printed:
        whole = tuple(_Set(row, ruler(sheet, row)) for row in block)
        gap = 0.4 * sheet.line if block[0].bold else 0.0
        fits = _count(whole) * sheet.line <= sheet.bottom - MARGIN
        for part in [whole] if fits else [(line,) for row in whole for line in _lines(row)]:
            height = _count(part) * sheet.line
            if panels[-1] and top + gap + height > sheet.bottom:
                panels.append([])
                top = MARGIN
            top += gap if panels[-1] else 0.0
            panels[-1].append((top, part))
            top += height
            gap = 0.0
    return panels


def _lines(block: _Set) -> Iterator[_Set]:
    """A row line by line; the last one keeps what stands at its right edge."""
    for line in block.lines[:-1]:
        yield _Set(replace(block.row, right=""), (line,))
    yield _Set(block.row, block.lines[-1:])


def _count(rows: Iterable[_Set]) -> int:
    return sum(len(row.lines) for row in rows)


def _broken(pdf, sheet, row) -> tuple[str, ...]:
    """A row's text in lines that leave its right edge free."""
    pdf.set_font(LETTERS, "B", sheet.size)
    right = pdf.get_string_width(printable(row.right)) + RIGHT_GAP if row.right else 0.0
    pdf.set_font(LETTERS, "B" if row.bold else "", sheet.size)
    room = sheet.panel - row.indent * INDENT - right
    lines = pdf.multi_cell(room, 1, printable(row.text), dry_run=True, output="LINES")
    return tuple(lines or [""])


def _new_side(pdf, chart, sheet, side, sides) -> None:
    """An empty side with its fold marks and, of several, its name."""
    pdf.add_page()
    pdf.set_line_width(0.2)
    pdf.set_font(LETTERS, "", SIZES[-1])
    for place in range(1, PANELS):
        fold = sheet.width * place / PANELS
        for start, end in ((0.0, MARGIN), (sheet.height - MARGIN, sheet.height)):
            pdf.line(fold, start, fold, end)
        pdf.text(fold + 1, sheet.height - 3, "fold")
    if sides > 1:
        name = f"{words.title(chart)}: side {side} of {sides}"
        pdf.text(MARGIN, sheet.height - 4, printable(name))


def _draw(pdf, sheet, block, left, top) -> None:
    if block[0].row.bold:
        pdf.set_line_width(0.15)
        pdf.line(left, top - 0.15 * sheet.line, left + sheet.panel, top - 0.15 * sheet.line)
    for place in block:
        start = left + place.row.indent * INDENT
        pdf.set_font(LETTERS, "B" if place.row.bold else "", sheet.size)
        for text in place.lines:
            pdf.set_xy(start, top)
            pdf.cell(sheet.panel, sheet.line, text)
            top += sheet.line
        if place.row.right:
            begin = start + pdf.get_string_width(place.lines[-1])
            _point(pdf, sheet, place.row, begin, left + sheet.panel, top - sheet.line)


def _point(pdf, sheet, row, begin, edge, top) -> None:
    """What stands at the right edge, and dots that lead the eye to it."""
    line = sheet.line
    pdf.set_font(LETTERS, "B", sheet.size)
    start = edge - pdf.get_string_width(printable(row.right))
    pdf.set_xy(start, top)
    pdf.cell(edge - start, line, printable(row.right))
    if not row.bold and start - begin > RIGHT_GAP:
        pdf.set_dash_pattern(dash=0.3, gap=1.2)
        pdf.line(begin + RIGHT_GAP / 2, top + 0.75 * line, start - RIGHT_GAP / 2, top + 0.75 * line)
        pdf.set_dash_pattern()

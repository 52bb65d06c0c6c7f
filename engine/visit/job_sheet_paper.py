"""A job sheet as PDF: on one page where it fits, legible in black and white."""

from datetime import UTC
from functools import cache

from fpdf import FPDF

from engine.errors import UnreadableValue
from engine.visit.job_sheet_bands import PLAIN, ROOMY, SMALLEST, TIGHT, Band, Setting, Spacing
from engine.visit.job_sheet_form import JobSheet
from engine.visit.job_sheet_text import headline
from engine.visit.paper_letters import LETTERS, NOT_AS_TYPED, add_letters, held, printable

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of an upright sheet [mm]: ISO 216, ANSI/ASME Y14.1."""

SIDE, TOP, BOTTOM = 9.0, 7.0, 8.5  # mm kept free; the number of the page stands in the lowest
SETTINGS = (
    (10.0, ROOMY), (9.5, ROOMY), (9.0, ROOMY), (8.5, ROOMY), (9.0, PLAIN), (SMALLEST, ROOMY),
    (8.5, PLAIN), (SMALLEST, PLAIN), (SMALLEST, TIGHT),
)  # fmt: skip
"""Sizes of letters in points, and the air around them: the first of those that need the fewest
pages."""

LOOK_ELSEWHERE = f"{NOT_AS_TYPED} The sheet for mail (HTML) shows it."

_WIDTHS = {"rule": 0.5, "hair": 0.12, "frame": 0.9, "box": 0.25, "tick": 0.5, "bar": 0.0}  # mm


def as_pdf(sheet: JobSheet, paper: str = "a4") -> bytes:
    """The sheet as a PDF; the same sheet gives the same file.

    Parameters
    ----------
    sheet : JobSheet
    paper : str
        A key of `PAPERS`.

    Raises
    ------
    UnreadableValue
        If there is no such paper.
    """
    if paper not in PAPERS:
        raise UnreadableValue(f"there is no paper {paper!r}; write {' or '.join(PAPERS)}")
    width, height = PAPERS[paper]
    pdf = FPDF(format=(width, height))
    pdf.set_auto_page_break(False)
    add_letters(pdf)
    pdf.set_title(f"{headline(sheet)}: {sheet.ending}")
    pdf.set_lang("en")
    if sheet.last:
        pdf.set_creation_date(sheet.last.replace(tzinfo=UTC))
    pages, spacing = _fitted(pdf, sheet, width - 2 * SIDE, height - TOP - BOTTOM)
    pdf.set_stretching(100 * spacing.narrow)
    as_typed = held(_every_text(pages))
    for number, page in enumerate(pages, 1):
        pdf.add_page()
        top = TOP
        for place, band in enumerate(page):
            _draw(pdf, band, top)
            if band.again and not place:
                _write(pdf, SIDE, top - 0.8, f"{band.title}, continued", SMALLEST, True)
            top += band.height
        left = f"{headline(sheet)}. {sheet.made_by}.{'' if as_typed else f' {LOOK_ELSEWHERE}'}"
        _write(pdf, SIDE, height - 4.5, left, SMALLEST, False)
        count = f"{number} of {len(pages)}"
        edge = width - SIDE - _width(pdf, count, True, SMALLEST)
        _write(pdf, edge, height - 4.5, count, SMALLEST, True)
    return bytes(pdf.output())


def _fitted(pdf, sheet, width, height) -> tuple[list[list[Band]], Spacing]:
    """The bands page by page, in the largest letters that need the fewest pages, and the air
    around them."""
    em = cache(lambda text, bold: _width(pdf, text, bold, 1.0))  # grows with the size of letters
    words = cache(lambda text, bold: sum(em(word, bold) for word in _words(text)))

    def measure(text, bold, size):
        return size * words(text, bold)

    tried = []
    for size, spacing in SETTINGS:
        tried.append((_paged(Setting(measure, width, size, spacing).bands(sheet), height), spacing))
        if len(tried[-1][0]) == 1:
            break
    return min(tried, key=lambda each: len(each[0]))


def _words(text: str) -> list[str]:
    """A text in words, each with the blank after it."""
    first, *others = text.split(" ")
    return [first, *(f" {word}" for word in others)]


def _paged(bands, height) -> list[list[Band]]:
    pages, room = [[]], height
    for band in bands:
        if pages[-1] and band.height > room:
            pages.append([])
            room = height
        pages[-1].append(band)
        room -= band.height
    return pages


def _every_text(pages) -> str:
    return "".join(ink.text for page in pages for band in page for ink in band.inks)


def _draw(pdf, band, top) -> None:
    for shape in band.shapes:
        left, right = SIDE + shape.left, SIDE + shape.right
        high, low = top + shape.down, top + shape.bottom
        pdf.set_line_width(_WIDTHS[shape.kind])
        if shape.kind == "bar":
            pdf.set_fill_color(0)
            pdf.rect(left, high, right - left, low - high, style="F")
        elif shape.kind in ("frame", "box"):
            pdf.rect(left, high, right - left, low - high)
        elif shape.kind == "tick":
            middle = left + 0.4 * (right - left)
            pdf.line(left + 0.4, high + 0.5 * (low - high), middle, low - 0.4)
            pdf.line(middle, low - 0.4, right + 0.4, high - 0.3)
        else:
            pdf.line(left, high, right, low)
    for ink in band.inks:
        pdf.set_text_color(255 if ink.white else 0)
        _write(pdf, SIDE + ink.left, top + ink.down, ink.text, ink.size, ink.bold)
    pdf.set_text_color(0)


def _write(pdf, left, down, text, size, bold) -> None:
    pdf.set_font(LETTERS, "B" if bold else "", size)
    pdf.text(left, down, printable(text))


def _width(pdf, text, bold, size) -> float:
    pdf.set_font(LETTERS, "B" if bold else "", size)
    return pdf.get_string_width(printable(text))

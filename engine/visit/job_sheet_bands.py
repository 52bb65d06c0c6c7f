"""A job sheet set in letters of one size: bands over the width of the paper, in the order of
reading."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from engine.visit.job_sheet_form import JobSheet, Row, Section
from engine.visit.job_sheet_text import headline, licence

POINT = 25.4 / 72  # mm
GAP, BOX = 2.0, 2.4  # mm: between columns, side of a box
GUTTER = 2.85  # mm for each point of the letters, for the titles at the left
SIGNING = 10.0  # mm, room for a name written by hand
SMALLEST = 8.0  # points
DOT = " \u2022 "
SENTENCE = 60
"""A text of more signs is worth a line of its own where there is the room. Judgement."""

Measure = Callable[[str, bool, float], float]
"""Width in mm of a text, bold or not, in letters of a size in points."""


@dataclass(frozen=True)
class Spacing:
    """Air between lines, in heights of the letters, and below rows and sections, in lines.

    `singly` gives every sentence a line of its own, `narrow` is the share of their usual width that
    letters take.
    """

    singly: bool
    leading: float
    row: float
    section: float
    narrow: float = 1.0


ROOMY = Spacing(True, 1.16, 0.2, 0.5)
PLAIN = Spacing(False, 1.12, 0.15, 0.35)
TIGHT = Spacing(False, 1.05, 0.05, 0.12, narrow=0.94)


@dataclass(frozen=True)
class Ink:
    """Letters of one line; place from the left of the text and from the top of the band [mm]."""

    left: float
    down: float
    text: str
    size: float
    bold: bool = False
    white: bool = False


@dataclass(frozen=True)
class Shape:
    """From corner to corner [mm]; `kind` is rule, hair (lines), frame, bar, box or tick."""

    kind: str
    left: float
    down: float
    right: float
    bottom: float


@dataclass(frozen=True)
class Band:
    """What stays together on a page. `title` stands at its left again where a page begins with
    it."""

    height: float
    inks: tuple[Ink, ...] = ()
    shapes: tuple[Shape, ...] = ()
    title: str = ""
    again: bool = False


@dataclass(frozen=True)
class Setting:
    """Letters of a size, on paper of a width."""

    measure: Measure
    width: float
    size: float
    spacing: Spacing

    @property
    def line(self) -> float:
        return self._height(self.size)

    def _height(self, size: float) -> float:
        return size * POINT * self.spacing.leading

    def _width(self, text: str, bold: bool, size: float) -> float:
        return self.measure(text, bold, size) * self.spacing.narrow

    @property
    def gutter(self) -> float:
        return self.size * GUTTER

    def bands(self, sheet: JobSheet) -> tuple[Band, ...]:
        """The whole sheet."""
        return (
            self._head(sheet),
            *(band for alarm in sheet.alarms for band in self._alarm(alarm)),
            *(
                band
                for place, section in enumerate(sheet.sections)
                for band in self._section(section, first=not place)
            ),
            self._end(sheet),
        )

    # ------------------------------------------------------------------ the ends of the sheet

    def _head(self, sheet) -> Band:
        """Letterhead at the left; what this is, of which visit and when at the right."""
        letterhead, big = sheet.letterhead, self.size + 4
        room, down, inks = 0.6 * self.width, 0.0, []
        for text in self.broken(letterhead.company or "Job sheet", True, big, room):
            down += self._height(big)
            inks.append(Ink(0, down, text, big, bold=True))
        said = (letterhead.address, letterhead.phone, licence(letterhead.licence))
        left = self.broken(DOT.join(filter(None, said)), False, self.size, room)
        right = [(headline(sheet), True), (sheet.ending, True), (sheet.when(), False)]
        for place, text in enumerate(left, 1):
            inks.append(Ink(0, down + place * self.line, text, self.size))
        for place, (text, bold) in enumerate(right, 1):
            edge = self.width - self._width(text, bold, self.size)
            inks.append(Ink(edge, place * self.line, text, self.size, bold))
        bottom = max(down + len(left) * self.line, len(right) * self.line) + 0.5 * self.line
        rule = Shape("rule", 0, bottom, self.width, bottom)
        return Band(bottom + 0.5 * self.line, tuple(inks), (rule,))

    def _end(self, sheet) -> Band:
        """Where to sign, and what stands above all of it."""
        half = (self.width - 4 * GAP) / 2
        inks, shapes = [], [Shape("rule", 0, 0, self.width, 0)]
        for place, text in enumerate(sheet.signatures):
            left = place * (half + 4 * GAP)
            shapes.append(Shape("hair", left, SIGNING, left + half, SIGNING))
            inks.append(Ink(left, SIGNING + self.line, text, self.size))
        down = SIGNING + 1.4 * self.line
        for line in self.broken(sheet.foot, False, SMALLEST, self.width):
            down += self._height(SMALLEST)
            inks.append(Ink(0, down, line, SMALLEST))
        return Band(down + 0.3 * self.line, tuple(inks), tuple(shapes))

    # ------------------------------------------------------------------ what stands between

    def _alarm(self, alarm: Section) -> Iterator[Band]:
        """A frame with a black bar, that no reader overlooks."""
        big, pad = self.size + 3, GAP
        inks, down = [], 0.0
        for line in self.broken(alarm.title, True, big, self.width - 2 * pad):
            down += self._height(big)
            inks.append(Ink(pad, down, line, big, bold=True, white=True))
        bar = down + 0.3 * big * POINT
        down = bar + 0.3 * self.line
        for place, row in enumerate(alarm.rows):
            text = " ".join(row.cells[0].split())  # the frame must not outgrow the page
            for line in self.broken(text, not place, self.size + 0.5, self.width - 2 * pad):
                down += self._height(self.size + 0.5)
                inks.append(Ink(pad, down, line, self.size + 0.5, bold=not place))
        bottom = down + 0.5 * self.line
        shapes = (
            Shape("bar", 0, 0, self.width, bar),
            Shape("frame", 0, 0, self.width, bottom),
        )
        yield Band(bottom + 0.6 * self.line, tuple(inks), shapes)

    def _section(self, section: Section, first: bool) -> Iterator[Band]:
        """The title in the left margin, its rows beside it, a hair line between two sections."""
        bands = self._flowing(section) if section.flowing else self._rows(section)
        titled = self.broken(section.title, True, self.size, self.gutter - GAP)
        inks = tuple(
            Ink(0, (place + 0.85) * self.line, text, self.size, bold=True)
            for place, text in enumerate(titled)
        )
        down = -0.1 * self.line
        rule = () if first else (Shape("hair", 0, down, self.width, down),)
        top = bands[0]
        bands[0] = replace(top, inks=(*inks, *top.inks), shapes=(*rule, *top.shapes))
        short = len(titled) * self.line - sum(band.height for band in bands)
        last = bands[-1]
        below = max(short, 0) + self.spacing.section * self.line
        bands[-1] = replace(last, height=last.height + below)
        for place, band in enumerate(bands):
            yield replace(band, title=section.title, again=place > 0)

    def _flowing(self, section) -> list[Band]:
        texts = [row.cells[0] for row in section.rows]
        if self.spacing.singly and max(map(len, texts)) > SENTENCE:
            rows = tuple(Row((f"{DOT.lstrip()}{text}",)) for text in texts)
            return self._rows(replace(section, rows=rows, flowing=False))
        whole = replace(section, rows=(Row((DOT.join(texts),)),), flowing=False)
        return self._rows(whole)

    def _rows(self, section) -> list[Band]:
        columns = self._columns(section)
        bands = [self._row(row, columns, section.head != ()) for row in section.rows]
        if section.head:
            head = self._row(Row(section.head), columns, False, bold=True)
            bands[0] = _joined(head, bands[0])
        return [part for band in bands for part in self._parts(band)]

    def _columns(self, section) -> list[tuple[float, float]]:
        """Left edge and width of every column."""
        boxed = BOX + GAP if section.rows[0].box is not None else 0.0
        room = self.width - self.gutter - boxed - GAP * (len(section.shares) - 1)
        left, columns = self.gutter + boxed, []
        for share in section.shares:
            width = room * share / sum(section.shares)
            columns.append((left, width))
            left += width + GAP
        return columns

    def _row(self, row: Row, columns, ruled, bold=False) -> Band:
        bold = bold or row.box is False  # what is open is heavy, beside its empty box and its words
        inks, most = [], 0
        for cell, (left, room) in zip(row.cells, columns, strict=False):
            lines = self.broken(cell, bold, self.size, room)
            most = max(most, len(lines))
            inks += [
                Ink(left, (place + 0.85) * self.line, text, self.size, bold)
                for place, text in enumerate(lines)
            ]
        height = most * self.line + (self.spacing.row * self.line if ruled else 0)
        shapes = []
        if ruled:
            shapes.append(Shape("hair", columns[0][0], 0, columns[-1][0] + columns[-1][1], 0))
        if row.box is not None:
            top, side = 0.5 * (self.line - BOX), columns[0][0] - GAP - BOX
            kinds = ("box", "tick") if row.box else ("box",)
            shapes += [Shape(kind, side, top, side + BOX, top + BOX) for kind in kinds]
        return Band(height, tuple(inks), tuple(shapes))

    def _parts(self, band) -> Iterator[Band]:
        """A band line by line where it is so high that it would leave a page empty."""
        if band.height < 40 * self.line:
            yield band
            return
        places = sorted({ink.down for ink in band.inks})
        for down in places:
            inks = tuple(replace(i, down=0.85 * self.line) for i in band.inks if i.down == down)
            yield Band(self.line, inks, band.shapes if down == places[0] else ())

    def broken(self, text: str, bold: bool, size: float, room: float) -> list[str]:
        """A text in lines no wider than there is room."""
        lines = []
        for paragraph in text.replace(" ± ", "\xa0±\xa0").replace(" %", "\xa0%").splitlines():
            line = ""
            for word in filter(None, paragraph.split(" ")):
                longer = f"{line} {word}" if line else word
                if self._width(longer, bold, size) <= room:
                    line = longer
                    continue
                lines += [line] if line else []
                *full, line = self._cut(word, bold, size, room)
                lines += full
            lines += [line] if line else []
        return lines

    def _cut(self, word, bold, size, room) -> list[str]:
        """A word in pieces, where it is wider than a whole line."""
        pieces = [""]
        for sign in word:
            if pieces[-1] and self._width(pieces[-1] + sign, bold, size) > room:
                pieces.append("")
            pieces[-1] += sign
        return pieces


def _joined(first: Band, second: Band) -> Band:
    """Two bands that no page parts."""
    down = first.height
    return replace(
        first,
        height=down + second.height,
        inks=(*first.inks, *(replace(ink, down=ink.down + down) for ink in second.inks)),
        shapes=(
            *first.shapes,
            *(replace(s, down=s.down + down, bottom=s.bottom + down) for s in second.shapes),
        ),
    )

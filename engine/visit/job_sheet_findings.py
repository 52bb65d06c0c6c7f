"""What was found, on a job sheet: each figure with its limits and its instruments."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from engine.knowledge import Knowledge
from engine.readings.accuracy_words import TYPICAL_OF_CLASS, whose_accuracy
from engine.readings.words import TYPICAL
from engine.visit.findings import Finding
from engine.visit.job_sheet_form import Row, Section, lines
from engine.visit.keeping import Visit
from engine.visit.reading_words import reading_words
from engine.visit.told import answer_words

TYPICAL_MARK = TYPICAL.partition(": ")[0]
"""What marks a typical limit; what it asks for is said once for all of them."""

INSTRUMENTS = "Instruments, limits"
TYPICAL_SUFFIX = f", {TYPICAL_OF_CLASS}"
"""Said once for all instruments of which nothing else is known."""

AS_FOUND = ("Readings as found", "Seen and told as found")
SINCE = ("Readings since work began", "Seen and told since work began")
"""Titles of what was measured and of what was seen, before the first repair and after it."""


@dataclass
class Letters:
    """The instruments named so far, each with the letter that stands for it in the tables."""

    given: dict[str, str] = field(default_factory=dict)

    def of(self, finding: Finding | None) -> str:
        """Letters of the instruments behind a finding's figure."""
        names = finding.banded.figure.instruments if finding and finding.banded else ()
        for name in names:
            self.given.setdefault(name, _letter(len(self.given)))
        return ", ".join(self.given[name] for name in names)


def _letter(place: int) -> str:
    return chr(ord("a") + place)


def marked(text: str) -> str:
    """Words with the mark of a typical limit, without what it asks for."""
    return text.replace(TYPICAL, TYPICAL_MARK)


Photos = Mapping[int, tuple[int, ...]]
"""Places among the photos of a visit, counted from 1, by the entry beside which they stand."""


def pointing(photos: Photos, entry: int | None) -> str:
    """Words that point from an entry to its photos.

    Examples
    --------
    >>> pointing({7: (1, 3), 9: (2,)}, 7), pointing({9: (2,)}, 9), pointing({}, 9)
    (' (photos 1, 3)', ' (photo 2)', '')
    """
    places = photos.get(entry, ())
    many = "s" if len(places) > 1 else ""
    return f" (photo{many} {', '.join(map(str, places))})" if places else ""


def found(known: Knowledge, visit: Visit, letters: Letters, photos: Photos) -> tuple[Section, ...]:
    """All that was found but what stands with the closing checks, in the order of the visit."""
    proofs = {proof.event for proof in visit.state.proofs}
    findings = [f for f in visit.state.findings if f.event is None or f.event not in proofs]
    sections = []
    for titles, chosen in (
        (AS_FOUND, [f for f in findings if f.epoch == 0]),
        (SINCE, [f for f in findings if f.epoch > 0]),
    ):
        read = [f for f in chosen if f.typed or f.banded]
        seen = [f for f in chosen if not (f.typed or f.banded)]
        sections += [_readings(known, visit, letters, photos, titles[0], read)] if read else []
        sections += [_seen(known, visit, photos, titles[1], seen)] if seen else []
    return tuple(sections)


def _readings(known, visit, letters, photos, title, findings) -> Section:
    rows = tuple(Row(_reading(known, visit, letters, photos, finding)) for finding in findings)
    return Section(title, rows, ("What", "Read", "Needs", "Says", "By"), (44, 48, 34, 26, 7))


def _reading(known, visit, letters, photos, finding) -> tuple[str, ...]:
    name = f"{known.checks[finding.check].name}{pointing(photos, finding.event)}"
    reading = reading_words(known, visit.state, finding)
    if reading is None:
        return name, answer_words(known, visit, finding), "", "", ""
    needs = marked(reading.needs.removeprefix("needs "))
    says = f"{reading.says}. {reading.doubt}" if reading.doubt else reading.says
    read = "; ".join(filter(None, (entered(known, finding), reading.value)))
    return name, read, needs, says, letters.of(finding)


def entered(known: Knowledge, finding: Finding) -> str:
    """What a figure was worked out from, as typed; empty where the figure is what was typed."""
    figure = finding.banded.figure.name if finding.banded else ""
    if len(finding.typed) < 2 and (not figure or figure in dict(finding.typed)):
        return ""
    fields = known.checks[finding.check].reading.fields
    return ", ".join(f"{fields[name].name} {text}" for name, text in finding.typed)


def _seen(known, visit, photos, title, findings) -> Section:
    rows = []
    for finding in findings:
        check, answer = known.checks[finding.check], answer_words(known, visit, finding)
        looked_with = f" (with: {check.instrument})" if check.instrument else ""
        name = f"{check.name}{pointing(photos, finding.event)}"
        rows.append(Row((name, f"{answer}{looked_with}")))
    return Section(title, tuple(rows), shares=(70, 96))


def instruments(
    known: Knowledge, visit: Visit, letters: Letters, sections: Iterable[Section]
) -> tuple[Section, ...]:
    """How accurate the instruments behind the figures are, those whose accuracy was stated, and
    what a typical limit in these sections asks for."""
    stated = visit.state.instruments
    unused = {name: "" for name in stated if name not in letters.given}
    texts = [
        f"{letter} {whose_accuracy(known, stated, [name])}".strip().removesuffix(TYPICAL_SUFFIX)
        for name, letter in {**letters.given, **unused}.items()
    ]
    if any(name not in stated for name in letters.given):
        texts.append(f"accuracy{TYPICAL_SUFFIX[1:]} where nothing else is said")
    rows = (row for section in sections for row in section.rows)
    if any(TYPICAL_MARK in cell for row in rows for cell in row.cells):
        texts.append(TYPICAL)
    return (Section(INSTRUMENTS, lines(texts), flowing=True),) if texts else ()

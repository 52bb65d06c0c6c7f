"""What a fault path chart says on paper, paragraph by paragraph, in the order of reading.

Steps are numbered and ends lettered; every answer points at the one or the other, so that nobody
has to follow lines with a finger in a glove.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from engine.visit import chart_words as words
from engine.visit.chart_marks import Marks, came_from, marks
from engine.visit.chart_tree import ON, RARE, STOP, Answer, Chart, End, Place, Step
from engine.visit.reasons import in_hundred


@dataclass(frozen=True)
class Row:
    """A paragraph, with what stands at its right edge."""

    text: str
    right: str = ""
    bold: bool = False
    indent: int = 0


Block = tuple[Row, ...]
"""Rows kept together where there is the room. A list, whose rows stand alone, is one block each."""

NAMED = 2
"""Suspects named where the sheet ends. Judgement: a third rarely changes what one looks at."""


def blocks(chart: Chart, made_on: date, whole: int) -> Iterator[Block]:
    """The paragraphs of a chart.

    Parameters
    ----------
    chart : Chart
    made_on : date
        Printed on it.
    whole : int
        Checks of the chart before it was cut to the paper.
    """
    marked = marks(chart)
    steps = chart.steps()
    cut = f" Cut from {whole} checks to fit one sheet." if len(steps) < whole else ""
    yield (
        Row(words.title(chart), bold=True),
        *(Row(line) for line in words.made_for(chart)),
        Row(f"Made on {made_on.isoformat()}.{cut}"),
    )
    yield (
        Row(words.danger_line(chart), bold=True),
        *(Row(f"! {line}") for line in chart.to_begin),
    )
    if steps:
        yield tuple(_how_to_read(chart, marked))
    if marked.cautions:
        yield from _list(
            "Cautions: read them before the step that names them",
            *(
                f"{number}  {marked.hazards[text].capitalize()}: {text}"
                for text, number in marked.cautions.items()
            ),
            f"What counts before all of this: {'; '.join(marked.governs)}.",
        )
    before = came_from(chart)
    for step in steps:
        yield tuple(_step(step, marked, before.get(step.number)))
    for end, letter in marked.ends.items():
        yield tuple(_end(end, letter, marked))
    if marked.proofs:
        proofs = [f"P{number} {text}" for text, number in marked.proofs.items()]
        yield (Row("Proofs", bold=True), Row(f"{'; '.join(proofs)}."))


def _list(title: str, first: str, *more: str) -> Iterator[Block]:
    """A list that may be parted between its entries, though not from its title."""
    yield Row(title, bold=True), Row(first)
    yield from ((Row(text),) for text in more)


def _how_to_read(chart: Chart, marked: Marks) -> Iterator[Row]:
    yield Row("How to use it", bold=True)
    kinds = {place.kind for place in chart.places() if isinstance(place, End)}
    ends = ", or at the end with that letter" if marked.ends else ""
    yield Row(f"Begin at step 1. Each answer points at the step with that number{ends}.")
    if marked.cautions:
        yield Row("! before a step: what can hurt you there, by the numbers of the cautions.")
    if ON in kinds:
        yield Row(
            f"{_word(ON)}: the sheet ends here. Make the check named after its cautions, then "
            f"{words.GO_ON}."
        )
    if RARE in kinds:
        yield Row(f"{_word(RARE)}: {words.too_rare(chart.least_chance)}.")
    if marked.proofs:
        yield Row("P1, P2 ...: what to prove before leaving, in words at the end of the sheet.")


def _word(kind: str) -> str:
    return words.KINDS[kind].lower()


def _step(step: Step, marked: Marks, before: int | None) -> Iterator[Row]:
    origin = f"from {before}, " if before else ""
    yield Row(f"{step.number}  {step.name}", right=f"{origin}{round(step.minutes)} min", bold=True)
    if step.cautions:
        yield Row(f"! {marked.cautions_of(step.cautions)}", bold=True, indent=1)
    yield from _first(step)
    figure = f" {step.figure}:" if step.figure else ""
    yield Row(f"{step.asks}{figure}", indent=1)
    seldom, next_check = [], ""
    for answer in step.answers:
        then = answer.then
        kind = then.kind if isinstance(then, End) else ""
        if kind == RARE:
            seldom.append(words.answer_words(answer))
            continue
        yield _answer(answer, marked)
        if kind == ON:
            last, next_check = next_check, _next(then, marked)
            same = next_check == last
            yield Row(f"{'Next as above.' if same else next_check}{_suspects(then)}", indent=2)
    if seldom:
        yield Row("; ".join(seldom), right=_word(RARE), indent=1)


def _answer(answer: Answer, marked: Marks) -> Row:
    then = answer.then
    if isinstance(then, Step):
        target = str(then.number)
    elif then.kind == ON:
        target = _word(ON)
    else:
        target = f"{f'{words.KINDS[STOP]}  ' if then.kind == STOP else ''}{marked.letter(then)}"
    return Row(words.answer_words(answer), right=target, indent=1)


def _next(end: End, marked: Marks) -> str:
    """The check that would come next where the sheet ends, its cautions before it."""
    caution = f"! {marked.cautions_of(end.cautions)}. " if end.cautions else ""
    proofs = f" Before leaving: {marked.proofs_of(end.prove)}." if end.prove else ""
    return f"{caution}Next: {end.onward}.{proofs}"


def _suspects(end: End) -> str:
    named = (f"{s.name} ({in_hundred(s.probability)})" for s in end.suspects[:NAMED])
    return f" Suspects: {', '.join(named)}." if end.suspects else ""


def _first(place: Place) -> Iterator[Row]:
    """What has to be shut, opened or running first."""
    if place.first:
        yield Row(f"First: {'; '.join(place.first)}.", indent=1)


def _end(end: End, letter: str, marked: Marks) -> Iterator[Row]:
    yield Row(f"{letter}  {words.end_words(end)}", bold=True)
    for place, text in enumerate(end.do, 1):
        yield Row(f"{place}. {text}", indent=1)
    for text in end.do_not:
        yield Row(f"! {text}", indent=1)
    if end.cautions:
        yield Row(f"! {marked.cautions_of(end.cautions)}", bold=True, indent=1)
    yield from _first(end)
    for title, text in words.details(end):
        if text == "; ".join(end.prove):
            text = marked.proofs_of(end.prove)
        yield Row(f"{title}: {text}.", indent=1)

"""A report as plain text and as JSON, for the terminal and for other programs."""

from dataclasses import asdict

from engine import units
from engine.readings.answer import sheet_named
from engine.readings.report import Figure, Report
from engine.readings.sheets import SHEETS


def as_text(report: Report) -> str:
    """A report in the order of reading: danger, odd values, verdicts, words, figures, next."""
    lines: list[str] = []
    if report.danger:
        lines += [f"STOP. {report.danger.headline}"]
        lines += [f"  ! {line}" for line in (*report.danger.advice, *report.danger.do_not)]
        lines += [f"  Who acts: {report.danger.who_acts}"]
    lines += [f"? {question}" for question in report.questions]
    lines += [f"? {name}: {sentence}" for name, sentence in report.unread]
    for verdict in report.verdicts:
        needed = f" ({verdict.figure.needs})" if verdict.figure.needs else ""
        title = verdict.figure.calculated.title
        lines += [f"{title} {verdict.figure.shown}{needed}: {verdict.says}"]
        lines += [f"    {verdict.means}"] * bool(verdict.means)
        lines += [f"    {verdict.doubt}"] * bool(verdict.doubt)
        lines += [f"    Band: {verdict.figure.band_source}."]
    lines += list(report.says)
    if report.figures:
        lines += ["Worked out"]
        lines += [f"  {line(figure)}" for figure in report.figures]
    lines += [f"Not worked out: {sentence}" for sentence in report.refused]
    if report.taken and not report.empty:
        lines += [f"Taken, not measured: {'; '.join(report.taken)}."]
    if report.next:
        lines += ["Measure next"]
        lines += [f"  - {step.name}: {step.why}" for step in report.next]
    return "\n".join(lines) or "Nothing follows from this yet; enter more values."


def line(figure: Figure) -> str:
    """A figure on one line."""
    note = f" ({figure.note})" if figure.note else ""
    return f"{figure.calculated.title}: {figure.shown}{note}"


def as_json(report: Report) -> dict:
    """The report in the form that other programs rely on; figures in the unit named."""
    return {
        "danger": report.danger and asdict(report.danger),
        "verdicts": [
            {
                "check": verdict.check,
                "outcome": verdict.outcome,
                "weights": list(verdict.banded.weights),
                "figure": _figure(verdict.figure),
                "needs": verdict.figure.needs,
                "band_source": verdict.figure.band_source,
            }
            for verdict in report.verdicts
        ],
        "says": list(report.says),
        "figures": [_figure(figure) for figure in report.figures],
        "next": [{"check": step.check, "why": step.why} for step in report.next],
        "questions": list(report.questions),
        "unread": dict(report.unread),
        "refused": list(report.refused),
        "taken": list(report.taken),
    }


def _figure(figure: Figure) -> dict:
    inner = figure.calculated
    unit = inner.unit or units.QUANTITIES[inner.quantity].usual_units[0]
    return {
        "name": inner.name,
        "title": inner.title,
        "value": units.number_in(inner.value, inner.quantity, unit),
        "deviation": units.number_in(inner.deviation, units.difference_of(inner.quantity), unit),
        "unit": unit,
    }


def sheets() -> str:
    """All sheets, one a line."""
    width = max(map(len, SHEETS))
    return "\n".join(f"{page.id:<{width}}  {page.about}" for page in SHEETS.values())


def entries(sheet: str) -> str:
    """What a sheet takes, one entry a line."""
    page = sheet_named(sheet)
    lines = [f"{entry.name:<24}{entry.label}{_takes(entry)}" for entry in page.entries]
    if page.facts:
        lines.append(f"facts of the boiler: {', '.join(page.facts)}")
    if page.rates:
        lines.append(f"rates: {', '.join(page.rates)}")
    return "\n".join(lines)


def _takes(entry) -> str:
    takes = f": {', '.join(entry.choices)}" if entry.choices else f" [{entry.unit}]"
    return takes + (f", taken as {entry.assumed}" if entry.assumed else "")

"""What a reading says, in a technician's words: value, limit, how sure, what it means."""

from dataclasses import dataclass

from engine import units
from engine.knowledge import Knowledge, schema
from engine.knowledge.facts import limit_value
from engine.visit.state import Finding, State
from engine.visit.typed_values import unit_of, usual_spelling

SURE = 0.95
"""From this probability on a band is named without a doubt. Judgement."""

TYPICAL = "typical figure: check the plate or manual"


@dataclass(frozen=True)
class Reading:
    """A reading in words; `needs` and `doubt` are empty where there is nothing to say."""

    value: str
    says: str
    means: str
    needs: str
    doubt: str
    reports: tuple[str, ...]

    def line(self) -> str:
        """The whole reading on one line: value, what is needed, and the verdict."""
        needs = f" ({self.needs})" if self.needs else ""
        return f"{self.value}{needs}: {self.says}"


def reading_words(knowledge: Knowledge, state: State, finding: Finding) -> Reading | None:
    """What a finding's figure says; None for a finding that is no reading or not worked out yet."""
    if not finding.banded:
        return None
    check = knowledge.checks[finding.check]
    banded = finding.banded
    figure = banded.figure
    unit = _unit(finding, figure)
    outcome = check.outcomes[banded.outcome]
    return Reading(
        value=f"{figure.title} {_shown(figure, unit)}",
        says=outcome.says,
        means=outcome.means,
        needs=needs(knowledge, state.facts, check, figure.quantity, unit),
        doubt=_doubt(check, banded.weights),
        reports=tuple(f"{r.title}: {_shown(r, _unit(finding, r))}" for r in banded.reports),
    )


def needs(knowledge: Knowledge, facts, check: schema.Check, quantity: str, unit: str | None) -> str:
    """What a healthy reading of this check would be, with the mark of a typical figure."""
    parts, typical, printed = [], False, False
    for band in check.reading.bands:
        if band.outcome != check.healthy:
            continue
        limits = []
        for limit in (band.start, band.below):
            if limit is None:
                limits.append(None)
                continue
            value, stands_in = limit_value(knowledge, facts, limit, quantity)
            typical = typical or stands_in
            printed = printed or limit.fact is not None
            limits.append(_rounded(value, quantity, unit))
        low, high = limits
        if low and high:
            parts.append(f"{low} to {high}")
        elif low or high:
            parts.append(f"{low} or more" if low else f"less than {high}")
    if not parts:
        return ""
    mark = f", {TYPICAL}" if typical else ", entered for this boiler" if printed else ""
    return f"needs {' or '.join(parts)}{mark}"


def _unit(finding, figure) -> str | None:
    """The unit that the person typed, where the figure is the value itself."""
    typed = unit_of(dict(finding.typed).get(figure.name, ""))
    if typed or figure.unit:
        return usual_spelling(figure.quantity, typed or figure.unit)
    return None


def _rounded(value, quantity, unit) -> str:
    """A limit without the zeros that say nothing: 8.5 %, not 8.50 %."""
    number, blank, label = units.show(value, quantity, unit).partition(" ")
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number}{blank}{label}"


def _shown(figure, unit) -> str:
    """A figure to as many decimals as its spread deserves: 9.1 ± 0.3 %."""
    text = units.show(figure.value, figure.quantity, unit)
    if not figure.deviation:
        return text
    difference = units.difference_of(figure.quantity)
    label = unit or units.QUANTITIES[figure.quantity].usual_units[0]
    first = f"{units.number_in(2 * figure.deviation, difference, label):e}"[0]
    digits = 2 if first == "1" else 1
    spread = units.show(2 * figure.deviation, difference, label, digits).partition(" ")[0]
    decimals = len(spread.partition(".")[2])
    value = f"{units.number_in(figure.value, figure.quantity, label):.{decimals}f}"
    return f"{value} ± {spread}" + ("" if label == "1" else f" {label}")


def _doubt(check, weights) -> str:
    if max(weights) >= SURE:
        return ""
    shares = sorted(zip(weights, check.outcomes.values(), strict=True), key=lambda s: -s[0])
    named = ", ".join(f"'{o.says}' {round(100 * w)} in 100" for w, o in shares if w >= 0.01)
    return f"So near a limit the instrument cannot tell for sure: {named}."

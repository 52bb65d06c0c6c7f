"""What a reading of a visit says, in a technician's words: value, limit, doubt, meaning."""

from dataclasses import dataclass

from engine.knowledge import Knowledge
from engine.readings import words
from engine.readings.accuracy_words import whose_accuracy
from engine.units.typed_values import unit_of, usual_spelling
from engine.visit.findings import Finding
from engine.visit.state import State


@dataclass(frozen=True)
class Reading:
    """A reading in words; `needs` and `doubt` are empty where there is nothing to say.

    `band_source` says where the limits come from; `accuracy` how accurate the instruments behind
    the figure are, and who says so.
    """

    value: str
    says: str
    means: str
    needs: str
    band_source: str
    doubt: str
    reports: tuple[str, ...]
    accuracy: str

    def line(self) -> str:
        """The whole reading on one line: value, what is needed, and the verdict."""
        needs = f" ({self.needs})" if self.needs else ""
        return f"{self.value}{needs}: {self.says}"

    def details(self) -> tuple[str, ...]:
        """What stands below that line, in the order of reading."""
        texts = (self.means, self.doubt, *self.reports, self.band_source, self.accuracy)
        return tuple(text for text in texts if text)


def reading_words(knowledge: Knowledge, state: State, finding: Finding) -> Reading | None:
    """What a finding's figure says; None for a finding that is no reading or not worked out yet."""
    if not finding.banded:
        return None
    check = knowledge.checks[finding.check]
    banded = finding.banded
    figure = banded.figure
    unit = _unit(finding, figure)
    outcome = check.outcomes[banded.outcome]
    limits_from = "; ".join(words.band_sources(knowledge, state.facts, check))
    return Reading(
        value=f"{figure.title} {words.shown(figure, unit)}",
        says=outcome.says,
        means=outcome.means,
        needs=words.needs(knowledge, state.facts, check, figure.quantity, unit),
        band_source=f"Limits: {limits_from}.",
        doubt=words.doubt(check, banded.weights),
        reports=tuple(f"{r.title}: {words.shown(r, _unit(finding, r))}" for r in banded.reports),
        accuracy=f"{whose_accuracy(knowledge, state.instruments, figure.instruments)}.",
    )


def _unit(finding, figure) -> str | None:
    """The unit that the person typed, where the figure is the value itself."""
    typed = unit_of(dict(finding.typed).get(figure.name, ""))
    if typed or figure.unit:
        return usual_spelling(figure.quantity, typed or figure.unit)
    return None

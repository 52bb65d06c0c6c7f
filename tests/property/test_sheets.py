"""Whatever is typed on a sheet, a report comes back, and what cannot be read is named."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.physics.fuels import FUELS
from engine.readings.answer import answer
from engine.readings.sheets import SHEETS
from engine.units import QUANTITIES

NUMBERS = st.floats(allow_nan=False, allow_infinity=False, width=32)
GARBAGE = st.one_of(st.text(max_size=70), st.sampled_from(["nan %", "inf", "-1 K", "1e999 mbar"]))


def typed_values(page):
    """Any subset of a sheet's entries, with numbers in any unit, choices or garbage."""

    def of(entry):
        if entry.choices:
            return st.one_of(st.sampled_from(sorted(entry.choices)), GARBAGE)
        units = [unit for unit in QUANTITIES[entry.quantity].usual_units if unit != "1"]
        plausible = st.floats(min_value=0, max_value=300).map(lambda number: f"{number:.3f}")
        numbers = st.one_of(plausible, NUMBERS.map(lambda number: f"{number:f}"))
        return st.one_of(
            st.builds("{} {}".format, numbers, st.sampled_from(units or [""])), GARBAGE
        )

    return st.fixed_dictionaries({}, optional={e.name: of(e) for e in page.entries})


@pytest.mark.parametrize("page", SHEETS.values(), ids=lambda page: page.id)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_a_sheet_answers_whatever_is_typed(knowledge, page, data):
    typed = data.draw(typed_values(page), label="typed")
    fuel = data.draw(st.sampled_from(sorted(FUELS)), label="fuel")
    rate = data.draw(st.sampled_from([*page.rates] or [""]), label="rate")

    report = answer(knowledge, page.id, typed, fuel=fuel, rate=rate)

    assert {name for name, _ in report.unread} <= set(typed)
    for figure in (*report.figures, *(verdict.figure for verdict in report.verdicts)):
        assert math.isfinite(figure.calculated.value)
        assert figure.calculated.deviation >= 0
    for verdict in report.verdicts:
        assert math.isclose(sum(verdict.banded.weights), 1.0)


@pytest.mark.parametrize("page", SHEETS.values(), ids=lambda page: page.id)
def test_a_sheet_feeds_fields_that_the_knowledge_has(knowledge, page):
    for entry in page.entries:
        for rate in (*page.rates, ""):
            for check, field in entry.fed(rate):
                fed = knowledge.checks[check].reading.fields[field]
                assert fed.quantity == entry.quantity
                assert fed.instrument == entry.instrument


@pytest.mark.parametrize("page", SHEETS.values(), ids=lambda page: page.id)
def test_a_sheet_names_what_the_knowledge_has(knowledge, page):
    assert set(page.facts) <= set(knowledge.facts)
    for entry in page.entries:
        assert entry.instrument is None or entry.instrument in knowledge.instruments
        assert bool(entry.choices) != bool(entry.quantity)

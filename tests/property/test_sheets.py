"""Whatever is typed on a sheet, a report comes back, and what cannot be read is named."""

import math

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from engine.physics.fuels import FUELS
from engine.readings.answer import answer
from engine.readings.sheets import SHEETS
from engine.units import QUANTITIES, parse

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


def known_facts(knowledge, page):
    """Any subset of a sheet's facts: a choice, or a plausible value; also in the wrong order."""

    def of(fact):
        if fact.choices:
            return st.sampled_from(sorted(fact.choices))
        return st.floats(*(parse(text, fact.quantity) for text in fact.plausible))

    return st.fixed_dictionaries(
        {}, optional={name: of(knowledge.facts[name]) for name in page.facts}
    )


@pytest.mark.parametrize("page", SHEETS.values(), ids=lambda page: page.id)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_a_sheet_answers_whatever_is_typed(knowledge, page, data):
    typed = data.draw(typed_values(page), label="typed")
    fuel = data.draw(st.sampled_from(sorted(FUELS)), label="fuel")
    rate = data.draw(st.sampled_from([*page.rates] or [""]), label="rate")

    facts = data.draw(known_facts(knowledge, page), label="facts")

    report = answer(knowledge, page.id, typed, facts, fuel=fuel, rate=rate)

    assert not (report.danger and report.next)
    assert {name for name, _ in report.unread} <= set(typed)
    for figure in (*report.figures, *(verdict.figure for verdict in report.verdicts)):
        assert math.isfinite(figure.calculated.value)
        assert figure.calculated.deviation >= 0
    for verdict in report.verdicts:
        assert math.isclose(sum(verdict.banded.weights), 1.0)


FLUE = SHEETS["flue_gas"]
LIMITS = st.floats(50, 600)  # ppm, the plausible limits of makers and codes
GAS = st.floats(0, 22).map(lambda share: f"{share:.4f} %")  # O2 and CO2, sensible or not
BESIDE = st.fixed_dictionaries(
    {},
    optional={"o2": GAS, "co2": GAS, "co2_basis": st.sampled_from(("measured", "worked_out")),
              "flue": st.sampled_from(("40 °C", "70 °C", "300 °C")), "intake_o2": GAS},
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(
    limit=st.none() | LIMITS, above=st.floats(0, 5000), beside=BESIDE,
    rate=st.sampled_from(sorted(FLUE.rates)), fuel=st.sampled_from(sorted(FUELS)),
)  # fmt: skip
def test_co_from_the_limit_on_always_stops(knowledge, limit, above, beside, rate, fuel):
    """Free of air it is never less than what was read. 400 ppm is typical (facts.yaml)."""
    facts = {} if limit is None else {"co_limit": parse(f"{limit} ppm", "dry_fraction")}
    co = f"{(limit or 400) + above} ppm"

    report = answer(knowledge, FLUE.id, {"co": co, **beside}, facts, fuel=fuel, rate=rate)

    assert report.danger is not None
    assert report.next == ()


CO2_LIMITS = st.tuples(st.floats(6, 12), st.floats(6, 12)).map(sorted)


@settings(max_examples=150, deadline=None)
@given(
    co=st.floats(0, 1000), o2=st.floats(0, 14), limit=LIMITS, ends=CO2_LIMITS,
    rate=st.sampled_from(sorted(FLUE.rates)),
)  # fmt: skip
@example(co=0.0, o2=1.27, limit=400.0, ends=[9.0, 11.1], rate="high")  # rich is 0.1 points wide
def test_no_limit_of_the_maker_makes_a_verdict_more_lenient_than_it_is(
    knowledge, co, o2, limit, ends, rate
):
    """On the wrong side of a limit that was entered nothing is called sound."""
    typed = {"o2": f"{o2:.4f} %", "co": f"{co:.4f} ppm"}
    limit, low, high = limit * 1e-6, *(end / 100 for end in ends)
    facts = {"co_limit": limit, f"co2_{rate}_min": low, f"co2_{rate}_max": high}

    report = answer(knowledge, FLUE.id, typed, facts, rate=rate)

    for verdict in report.verdicts:
        value = verdict.figure.calculated.value
        if verdict.check == f"co_{rate}_fire" and value >= limit * (1 + 1e-9):
            assert verdict.outcome == "over_limit"
        if verdict.check == f"mixture_{rate}_fire":
            assert not (verdict.sound and not low <= value <= high)


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

"""Readings in words: value, limit and verdict in the unit that was typed."""

import pytest

from engine.units.typed_values import unit_choices, with_unit
from engine.visit import events as happened
from engine.visit.reading_words import reading_words
from engine.visit.state import fold

RUNNING = "inlet_gas_pressure_running"


@pytest.fixture
def words(knowledge):
    """The words for a reading, entered after the given facts."""

    def words_for(check, values, **facts):
        told = [happened.Opened(who="technician")]
        told += [happened.FactStated(fact=name, value=value) for name, value in facts.items()]
        told.append(happened.Found(check=check, values=values))
        state = fold(knowledge, tuple(enumerate(told, 1)))
        return reading_words(knowledge, state, state.findings[0])

    return words_for


def test_value_and_limit_are_in_the_unit_that_was_typed(words):
    """8.7 mbar (facts.yaml) / 2.490889 mbar per inch of water (NIST SP 811) = 3.49 inches;
    accuracy 1 % or 0.2 mbar (instruments.yaml), 0.2 / 2.49 = 0.08 inches."""
    reading = words(RUNNING, {"pressure": "2.0 in. w.c."})

    assert reading.value == "Running inlet pressure 2.00 ± 0.08 inH2O"
    assert reading.needs == "needs 3.49 inH2O or more, typical figure: check the plate or manual"


def test_the_makers_figure_loses_the_mark(words):
    reading = words(RUNNING, {"pressure": "10 mbar"}, inlet_pressure_min="17 mbar")

    assert reading.needs == "needs 17 mbar or more, entered for this boiler"
    assert reading.says == "Too low"


def test_a_limit_that_is_a_rule_of_the_trade_has_no_mark(words):
    assert words("room_co", {"co": "0 ppm"}).needs == "needs less than 10 ppm"


def test_a_value_at_the_limit_is_not_called_sure(words):
    """At the limit itself half of a normal error lies on each side."""
    reading = words(RUNNING, {"pressure": "8.7 mbar"})

    assert "cannot tell for sure" in reading.doubt
    assert reading.doubt.count("50 in 100") == 2


def test_a_value_far_from_every_limit_raises_no_doubt(words):
    assert words(RUNNING, {"pressure": "15 mbar"}).doubt == ""


def test_a_range_names_both_ends_by_fuel(words):
    """knowledge/facts.yaml, co2_high_min and co2_high_max on propane."""
    reading = words("mixture_high_fire", {"co2": "10.4 %"}, fuel="propane")

    assert reading.needs.startswith("needs 9.5 % to 11.2 %")


def test_figures_worked_out_beside_it_are_told(words):
    """CO air-free, 35 ppm at 5 % O2: 35 * 20.95 / (20.95 - 5) = 46 ppm."""
    assert words("co_high_fire", {"co": "35 ppm", "o2": "5 %"}).value.startswith("CO air-free 46 ±")


def test_a_reading_says_whose_accuracy_it_has(knowledge):
    told = (
        happened.Opened(who="technician"),
        happened.InstrumentStated(instrument="co_cell", of_reading="3 %", at_least="5 ppm"),
        happened.Found(check="co_high_fire", values={"co": "35 ppm", "o2": "5 %"}),
        happened.Found(check=RUNNING, values={"pressure": "15 mbar"}),
    )
    state = fold(knowledge, tuple(enumerate(told, 1)))

    both, alone = (reading_words(knowledge, state, f) for f in state.findings[:2])
    assert both.accuracy == (
        "CO cell of a flue-gas analyser ± 3 % of the reading, at least 5 ppm, as stated by you; "
        "O2 cell of a flue-gas analyser ± 1 % of the reading, at least 0.2 %, typical of its class."
    )
    assert alone.accuracy == (
        "Digital manometer for gas ± 1 % of the reading, at least 0.2 mbar, typical of its class."
    )


def test_an_outcome_without_a_figure_has_no_reading(knowledge):
    history = ((1, happened.Found(check=RUNNING, outcome="low")),)
    state = fold(knowledge, history)

    assert reading_words(knowledge, state, state.findings[0]) is None


@pytest.mark.parametrize(
    ("typed", "unit", "stored"),
    [
        ("4.1", "inH2O", "4.1 inH2O"),
        ("4,1", "mbar", "4,1 mbar"),
        ("-0.2", "mbar", "-0.2 mbar"),
        ("10 mbar", "inH2O", "10 mbar"),
        ("1/2", "in", "1/2 in"),
        ("102", "1", "102"),
        ("  ", "mbar", ""),
        ("a lot", "mbar", "a lot"),
    ],
)
def test_a_bare_number_takes_the_unit_of_its_field(typed, unit, stored):
    assert with_unit(typed, unit) == stored


def test_co_is_not_offered_in_units_nobody_reads_it_in(knowledge):
    """Every field offers its own unit, whatever else it offers."""
    for check in knowledge.checks.values():
        for field in check.reading.fields.values() if check.reading else ():
            offered = unit_choices(field.quantity, field.unit, field.plausible[1])
            assert offered
    assert unit_choices("dry_fraction", "%", "21 %") == ("%",)

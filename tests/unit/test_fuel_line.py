"""What a pair of readings off the fuel's line is put down to, and what it never is."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.flue_gas import co2_from_o2, fuel_line_gap, o2_from_co2
from engine.physics.fuel_line import false_air_share, fuel_line_verdict, o2_shown
from engine.physics.fuels import AIR_OXYGEN, FUELS

FUEL_NAMES = st.sampled_from(sorted(FUELS))
FLUE_O2 = st.floats(min_value=0.0, max_value=0.12)
CELLS = {"o2_deviation": 0.001, "co2_deviation": 0.0015}


def kinds(verdict):
    return [each.kind for each in verdict.explanations]


def named(verdict, kind):
    (found,) = (each for each in verdict.explanations if each.kind == kind)
    return found


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: fuel_line_verdict(5.0, 0.09, "propane", **CELLS), "reading in per cent"),
        (lambda: fuel_line_verdict(0.05, 0.09, "propane", 0.2, 0.001), "was it in percentage poi"),
        (lambda: fuel_line_verdict(0.05, 0.09, "propane", 0.0, 0.001), "must be 1e-05"),
        (lambda: false_air_share(9.0, 0.08), "and the reading in per cent"),
        (lambda: o2_shown(0.05, 0.02), "is the cell alive"),
        (lambda: o2_shown(0.05, 0.2, 1.0), "was a reading in per cent passed unconverted"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()


# --- what fits


@given(FLUE_O2, FUEL_NAMES, st.floats(0.0, 0.5))
def test_air_let_into_the_sample_is_never_a_finding(o2, fuel, air):
    """Leak, leaner mixture and recirculation all stay on the line."""
    co2 = co2_from_o2(o2, fuel)
    thinned = o2 * (1 - air) + AIR_OXYGEN * air, co2 * (1 - air)
    verdict = fuel_line_verdict(*thinned, fuel, **CELLS)

    assert verdict.fits
    assert verdict.explanations == ()
    assert verdict.gap == pytest.approx(0.0, abs=1e-12)
    assert false_air_share(co2, thinned[1]) == pytest.approx(air, rel=0, abs=1e-9)


@given(FLUE_O2, st.sampled_from(["lean_natural_gas", "rich_natural_gas", "methane"]))
def test_another_natural_gas_is_no_finding_even_for_perfect_cells(o2, supply):
    verdict = fuel_line_verdict(o2, co2_from_o2(o2, supply), "natural_gas", 1e-5, 1e-5)

    assert verdict.fits
    assert verdict.gap != 0


def test_spread_of_supplies_shrinks_with_dilution():
    """A gas with 0.25 points more CO2max is 0.13 points off at 10 % O2, not 0.25."""
    for o2, fits in ((0.0, True), (0.10, False)):
        co2 = co2_from_o2(o2, "natural_gas") + 0.0025
        assert fuel_line_verdict(o2, co2, "natural_gas", 1e-5, 1e-5).fits is fits


@given(
    o2=st.floats(0.0, 0.12),
    co2=st.floats(0.05, 0.14),
    fuel=FUEL_NAMES,
    o2_deviation=st.floats(1e-4, 5e-3),
    co2_deviation=st.floats(1e-4, 5e-3),
)
def test_verdict_is_true_to_its_own_figures(o2, co2, fuel, o2_deviation, co2_deviation):
    verdict = fuel_line_verdict(o2, co2, fuel, o2_deviation, co2_deviation)
    slope = FUELS[fuel].co2_max_dry / AIR_OXYGEN
    deviation = (co2_deviation**2 + (slope * o2_deviation) ** 2) ** 0.5
    taken = 2 * deviation + 0.003 * (1 - o2 / AIR_OXYGEN)

    assert verdict.gap == pytest.approx(fuel_line_gap(o2, co2, fuel), abs=1e-15)
    assert verdict.deviations == pytest.approx(abs(verdict.gap) / deviation, rel=1e-9)
    assert verdict.fits == (abs(verdict.gap) <= taken)
    assert verdict.fits == (not verdict.explanations)
    believable = [each.deviations for each in verdict.explanations]
    first = 1 if kinds(verdict)[:1] == ["too_little_air"] else 0
    assert believable[first:] == sorted(believable[first:])


# --- what does not


@pytest.mark.parametrize(
    ("set_to", "burning"), [("natural_gas", "propane"), ("propane", "natural_gas")]
)
@pytest.mark.parametrize("o2", [0.02, 0.05, 0.08])
def test_the_other_fuel_is_named_first(set_to, burning, o2):
    verdict = fuel_line_verdict(o2, co2_from_o2(o2, burning), set_to, **CELLS)

    assert not verdict.fits
    others = [each.fuel for each in verdict.explanations if each.kind == "wrong_fuel_set"]
    assert others[0] == burning
    assert kinds(verdict)[0] == "wrong_fuel_set"
    assert set_to not in others


@given(FLUE_O2, st.sampled_from(["natural_gas", "propane"]), st.floats(0.1, 0.3))
def test_a_faulty_oxygen_cell_is_found_with_what_it_is_wrong_by(o2, fuel, in_fresh_air):
    shown = o2_shown(o2, in_fresh_air)
    verdict = fuel_line_verdict(shown, co2_from_o2(o2, fuel), fuel, **CELLS)

    assume(not verdict.fits)
    side = "low" if in_fresh_air < AIR_OXYGEN else "high"
    assert named(verdict, f"o2_cell_{side}").wrong_by == pytest.approx(
        abs(shown - o2), rel=0, abs=1e-9
    )


@given(FLUE_O2, FUEL_NAMES, st.floats(-0.03, 0.03))
def test_a_faulty_carbon_dioxide_cell_is_found_with_what_it_is_wrong_by(o2, fuel, off):
    verdict = fuel_line_verdict(o2, co2_from_o2(o2, fuel) + off, fuel, **CELLS)

    assume(not verdict.fits)
    side = "low" if off < 0 else "high"
    assert named(verdict, f"co2_cell_{side}").wrong_by == pytest.approx(abs(off), abs=1e-9)


def test_more_co2_than_the_fuel_can_show_is_not_put_down_to_the_oxygen_cell():
    """13 % CO2 belongs to no O2 at all with natural gas."""
    assert "o2_cell_high" not in kinds(fuel_line_verdict(0.012, 0.13, "natural_gas", **CELLS))
    assert "o2_cell_high" in kinds(fuel_line_verdict(0.05, 0.11, "natural_gas", **CELLS))


def test_little_co2_without_oxygen_is_first_of_all_too_little_air():
    verdict = fuel_line_verdict(0.001, 0.10, "natural_gas", **CELLS)

    assert kinds(verdict)[0] == "too_little_air"
    assert verdict.explanations[0].wrong_by == pytest.approx(0.001)
    assert "too_little_air" not in kinds(fuel_line_verdict(0.03, 0.08, "natural_gas", **CELLS))
    assert "too_little_air" not in kinds(fuel_line_verdict(0.001, 0.135, "natural_gas", **CELLS))


# --- cells and leaks


@given(st.floats(0.0, 0.209), st.floats(0.1, 0.3), st.floats(-0.02, 0.05))
def test_a_cell_shows_its_two_points_and_a_line_between(o2, fresh, zero):
    assert o2_shown(0.0, fresh, zero) == pytest.approx(zero, abs=1e-15)
    assert o2_shown(AIR_OXYGEN, fresh, zero) == pytest.approx(fresh, rel=1e-12)
    half = (o2_shown(0.0, fresh, zero) + o2_shown(o2, fresh, zero)) / 2
    assert o2_shown(o2 / 2, fresh, zero) == pytest.approx(half, abs=1e-12)


@given(st.floats(0.0, 0.21))
def test_a_sound_cell_shows_what_is_there(o2):
    assert o2_shown(o2, AIR_OXYGEN) == pytest.approx(o2, rel=1e-12, abs=1e-15)


def test_cell_set_to_fresh_air_in_a_stuffy_room_reads_high():
    """Set to 20.9 % in air with 20.3 %: it shows 20.9/20.3 of everything."""
    in_fresh_air = AIR_OXYGEN * AIR_OXYGEN / 0.203

    assert o2_shown(0.05, in_fresh_air) == pytest.approx(0.05 * 20.9 / 20.3, rel=1e-12)


def test_rising_co2_is_no_leak():
    assert false_air_share(0.08, 0.09) < 0


def test_leak_and_lean_mixture_cannot_be_told_apart():
    """A fifth of false air at 9 % CO2 gives the O2 of a burner set to 7.2 %."""
    o2 = o2_from_co2(0.09, "natural_gas")
    thinned = o2 + 0.2 * (AIR_OXYGEN - o2)

    assert o2_from_co2(0.072, "natural_gas") == pytest.approx(thinned, rel=1e-12)
    assert false_air_share(0.09, 0.072) == pytest.approx(0.2)


def test_a_series_of_pairs_is_judged_pair_by_pair():
    o2, co2 = np.array([0.05, 0.05]), np.array([0.09, 0.105])
    several = fuel_line_verdict(o2, co2, "natural_gas", **CELLS)

    assert several.shape == (2,)
    assert list(several) == [
        fuel_line_verdict(*pair, "natural_gas", **CELLS) for pair in zip(o2, co2, strict=True)
    ]
    assert [verdict.fits for verdict in several] == [True, False]

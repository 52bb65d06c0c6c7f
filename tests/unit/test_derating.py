"""Input at altitude, by a convention that is always named."""

from dataclasses import FrozenInstanceError

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.derating import (
    CONVENTIONS,
    convention_named,
    input_at_altitude,
    input_by_makers_table,
)

FEET = 0.3048
NAMES = sorted(CONVENTIONS)
CODES = sorted(set(CONVENTIONS) - {"density"})


@pytest.mark.parametrize("name", NAMES)
def test_a_convention_says_for_people_what_it_is_and_where_it_was_read(name):
    convention = convention_named(name)

    assert convention.name == name
    assert convention.called
    assert convention.source
    with pytest.raises(FrozenInstanceError):
        convention.source = ""


def test_the_table_cannot_change():
    with pytest.raises(TypeError):
        CONVENTIONS["own"] = CONVENTIONS["canada"]


@given(name=st.sampled_from(NAMES), lower=st.floats(-500, 1300), higher=st.floats(0, 71))
def test_input_never_rises_with_altitude(name, lower, higher):
    assert input_at_altitude(1e5, lower + higher, name) <= input_at_altitude(1e5, lower, name)


@pytest.mark.parametrize("name", CODES)
@pytest.mark.parametrize("altitude", [-400.0, -2.0, 0.0])
def test_no_code_derates_or_raises_at_or_below_sea_level(name, altitude):
    assert input_at_altitude(30e3, altitude, name) == 30e3


@pytest.mark.parametrize("name", sorted(set(CODES) - {"from_sea_level"}))
@pytest.mark.parametrize("altitude", [2000 * FEET, 610.0])
def test_two_thousand_feet_still_count_as_low(name, altitude):
    """Codes print 2000 ft as 610 m; whoever types either is not above."""
    assert input_at_altitude(30e3, altitude, name) == pytest.approx(30e3, rel=1e-4)


@pytest.mark.parametrize("altitude", [4500 * FEET, 1372.0])
def test_canada_ends_at_4500_feet(altitude):
    assert input_at_altitude(100e3, altitude, "canada") == pytest.approx(90e3)
    with pytest.raises(OutOfRange, match="Above 4500 ft the authority having jurisdiction decides"):
        input_at_altitude(100e3, altitude + 1, "canada")


@given(altitude=st.floats(611, 3048))
def test_counting_from_sea_level_takes_8_percent_more_than_from_2000_ft(altitude):
    from_sea = input_at_altitude(1e5, altitude, "from_sea_level_above_2000_ft")
    from_2000 = input_at_altitude(1e5, altitude, "above_2000_ft")

    assert from_sea == input_at_altitude(1e5, altitude, "from_sea_level")
    assert from_2000 - from_sea == pytest.approx(8000, abs=1e-6)


def test_the_step_of_the_code_stands_just_above_2000_ft():
    below, above = (
        input_at_altitude(1e5, each, "from_sea_level_above_2000_ft") for each in (610.0, 611.0)
    )

    assert below - above == pytest.approx(8000, abs=20)


# --- the maker's table

TABLE = [(0.0, 30e3), (610.0, 30e3), (1372.0, 27e3), (3048.0, 21e3)]


@pytest.mark.parametrize("row", TABLE)
def test_a_row_is_given_back(row):
    assert input_by_makers_table(row[0], TABLE) == row[1]


@given(place=st.floats(0.0, 1.0))
def test_between_two_rows_runs_a_straight_line(place):
    between = input_by_makers_table(610 + place * (1372 - 610), TABLE)

    assert between == pytest.approx(30e3 - place * 3e3, rel=1e-12)


def test_many_altitudes_at_once():
    assert np.array_equal(input_by_makers_table(np.array([0.0, 3048.0]), TABLE), [30e3, 21e3])


# --- refusals


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (
            lambda: input_at_altitude(30e3, 1000.0, "nfpa"),
            "altitude convention 'nfpa' is not known",
        ),
        (lambda: input_at_altitude(30e3, 1000.0, "canda"), "write 'canada'"),
        (lambda: input_at_altitude(30e3, 1000.0, None), "is not known; write 'from_sea_level' or"),
        (lambda: input_at_altitude(30e3, 4000.0, "above_2000_ft"), "was it in feet"),
        (lambda: input_at_altitude(100.0, 1000.0, "canada"), "See the rating plate"),
        (lambda: input_by_makers_table(3100.0, TABLE), "the maker's table ends there: ask the mak"),
        (lambda: input_by_makers_table(100.0, TABLE[:1]), "needs two rows at least"),
        (lambda: input_by_makers_table(100.0, [(0.0, 3e4), (1.0,)]), "needs two rows at least"),
        (lambda: input_by_makers_table(100.0, [("0", "3e4"), ("1", "2e4")]), "needs two rows"),
        (lambda: input_by_makers_table(100.0, TABLE[::-1]), "must rise from row to row"),
        (lambda: input_by_makers_table(100.0, [(0.0, 30.0), (900.0, 27.0)]), "was it in kW"),
        (lambda: input_by_makers_table(100.0, [(0.0, 3e4), (9000.0, 2e4)]), "altitude in feet"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()

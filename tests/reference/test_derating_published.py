"""Altitude conventions against tables and examples that others printed.

Brands are left out on purpose. Inputs in Btu/h: only their ratios enter.
"""

import ambiance
import pytest

from engine.physics.derating import input_at_altitude, input_by_makers_table
from tests.published import Published, rows

FEET = 0.3048
BTU = 0.293_071_07  # W


def left(rated, feet, convention):
    return input_at_altitude(rated * BTU, feet * FEET, convention) / BTU


# --- counted from sea level


@pytest.mark.parametrize(
    ("feet", "percent"),
    [(1000, 96), (2000, 92), (3000, 88), (4000, 84), (5000, 80), (7500, 70), (10_000, 60)],
)
def test_from_sea_level_meets_the_quick_reference(feet, percent):
    """thefurnaceoutlet.com, Choose the Right BTU for Mountain Homes, "effective capacity"."""
    assert left(100_000, feet, "from_sea_level") == pytest.approx(1000 * percent, abs=500)


@rows(
    Published({"rated": 100_000, "feet": 9000}, 64_000, 500,
              "forum.heatinghelp.com 152596: 100 - 100·(9·0.04) = 64 MBH"),
)  # fmt: skip
def test_from_sea_level_meets_worked_example(row):
    for convention in ("from_sea_level", "from_sea_level_above_2000_ft"):
        assert left(**row.given, convention=convention) == pytest.approx(
            row.expected, rel=0, abs=row.within
        )


# --- counted above 2000 ft


@rows(
    Published({"rated": 80_000, "feet": 5000}, 70_400, 50,
              "thefurnaceoutlet.com, Altitude Derating Tips, example A"),
    # 2000 ft are 609.6 m exactly; 5280 - 2000 = 3280 ft, 13.12 %.
    Published({"rated": 80_000, "feet": 5280}, 69_504, 0.5,
              "thefurnaceoutlet.com, Altitude Derating Tips, example B"),
    Published({"rated": 100_000, "feet": 3000}, 96_000, 500,
              "thefurnaceoutlet.com, Altitude Derating Tips: 3000 ft, 4 %"),
    Published({"rated": 100_000, "feet": 7000}, 80_000, 500,
              "thefurnaceoutlet.com, Altitude Derating Tips: 7000 ft, 20 %"),
)  # fmt: skip
def test_above_2000_ft_meets_worked_example(row):
    assert left(**row.given, convention="above_2000_ft") == pytest.approx(
        row.expected, rel=0, abs=row.within
    )


# Upper end of each band in ft, input of one burner in Btu/h: furnace manual, "LP gas at high
# altitudes". Each band of 1000 ft takes 4 % of 25 000, the whole band at its upper end.
BURNER = {
    2000: 25_000, 3000: 24_000, 4000: 23_000, 5000: 22_000, 6000: 21_000, 7000: 20_000,
    8000: 19_000, 9000: 18_000, 10_000: 17_000,
}  # fmt: skip


@pytest.mark.parametrize("feet", BURNER)
def test_above_2000_ft_meets_the_upper_end_of_each_band(feet):
    assert left(25_000, feet, "above_2000_ft") == pytest.approx(BURNER[feet], abs=0.5)


@pytest.mark.parametrize("feet", [2100, 3000, 4500])
def test_canada_meets_the_manuals(feet):
    """Two manuals: 10 % of the input from 2000 to 4500 ft."""
    assert left(100_000, feet, "canada") == pytest.approx(90_000, abs=0.5)


# --- density


@pytest.mark.parametrize("metres", [0.0, 500.0, 1500.0, 3000.0, 5000.0])
def test_density_agrees_with_ambiance(metres):
    ratio = float(ambiance.Atmosphere(metres).density[0] / ambiance.Atmosphere(0).density[0])

    assert input_at_altitude(30e3, metres, "density") == pytest.approx(30e3 * ratio, rel=1e-7)


# --- makers' tables, read between their rows
# Boiler manual, "Table 3, LP gas", vent at its shortest, 200 000 Btu/h; every 1000 ft is printed.

PRINTED = [
    200_000, 195_900, 191_800, 187_700, 183_600, 179_500, 175_400, 171_300, 167_200, 163_100,
    159_000,
]  # fmt: skip

# Furnace manual, table of derated natural gas inputs, 45 000 and 100 000 Btu/h, every 1000 ft.
SMALL = [45_000, 43_560, 42_120, 40_680, 39_600, 38_880, 37_980]
LARGE = [100_000, 96_800, 93_600, 90_400, 88_000, 86_400, 84_400]


@pytest.mark.parametrize("thousands", range(11))
def test_between_the_ends_of_a_makers_table_lie_its_printed_rows(thousands):
    ends = [(0.0, PRINTED[0] * BTU), (10_000 * FEET, PRINTED[-1] * BTU)]

    assert input_by_makers_table(1000 * thousands * FEET, ends) / BTU == pytest.approx(
        PRINTED[thousands], abs=0.5
    )


@pytest.mark.parametrize("thousands", range(7))
def test_two_sizes_of_one_makers_table_lose_the_same_share(thousands):
    """The rows at 0, 3000, 4000, 5000 and 6000 ft given; 1000 and 2000 ft found between them."""
    given = [(1000 * each * FEET, LARGE[each] * BTU) for each in (0, 3, 4, 5, 6)]
    share = input_by_makers_table(1000 * thousands * FEET, given) / (LARGE[0] * BTU)

    # Half a unit in the last digit printed for the small size (20 Btu/h) and the large (200).
    assert 45_000 * share == pytest.approx(SMALL[thousands], abs=10 + 45)

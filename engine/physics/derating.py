"""Heat input at altitude, by the convention that somebody named.

No two codes count alike: at 5000 ft their answers lie 8 % of the rating apart, and a figure without
its convention is worth nothing. The maker's own table or statement comes first (for condensing
appliances often 2 % for each 1000 ft); where it points to a code, the edition that the place has
adopted; above all the authority having jurisdiction. `CONVENTIONS` lists what can be asked for.
In a premix boiler the thin air takes the input down by itself, as the convention "density" says,
with the mixture unchanged (`intake_air`); whether that is enough, its maker says.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from engine.errors import OutOfRange, nearest
from engine.physics.atmosphere import ALTITUDE, standard_density
from engine.physics.limits import Range, plain

THOUSAND_FEET = 304.8  # m, exact
TWO_THOUSAND_FEET = 610.0  # m, as the codes print it; 0.4 m more than the exact figure
FORTY_FIVE_HUNDRED_FEET = 1372.0  # m, as the codes print it; 0.4 m more than the exact figure
TEN_THOUSAND_FEET = 3048.0  # m, end of the orifice table E.1.1(d) of NFPA 54 (from memory)
FOUR_PERCENT = 0.04  # of the sea-level input, for each 1000 ft; see the sources below
TEN_PERCENT = 0.10

RATED_INPUT = Range("rated input", 1e3, 1e7, "W", "was it in kW or Btu/h? See the rating plate")


@dataclass(frozen=True)
class Convention:
    """A way of counting the loss of input with altitude.

    `called` is for people, `source` says where it was read, `highest` [m] is where it ends,
    `beyond` what to do above, and `share` gives the share of the input left at an altitude [m].
    """

    name: str
    called: str
    source: str
    highest: float
    beyond: str
    share: Callable = field(repr=False, compare=False)


def _from_sea_level(altitude):
    return 1 - FOUR_PERCENT * np.maximum(altitude, 0.0) / THOUSAND_FEET


def _from_sea_level_above_2000_ft(altitude):
    return np.where(altitude > TWO_THOUSAND_FEET, _from_sea_level(altitude), 1.0)


def _above_2000_ft(altitude):
    return 1 - FOUR_PERCENT * np.maximum(altitude / THOUSAND_FEET - 2, 0.0)


def _canada(altitude):
    return np.where(altitude > TWO_THOUSAND_FEET, 1 - TEN_PERCENT, 1.0)


def _density(altitude):
    return np.asarray(standard_density(altitude)) / standard_density(0.0)


_ASK_THE_MAKER = "was it in feet? Above 10 000 ft the table ends: ask the maker"

CONVENTIONS = MappingProxyType(
    {
        each.name: each
        for each in (
            Convention(
                "from_sea_level",
                "4 % for each 1000 ft above sea level",
                "NFPA 54 (2015) annex E, table E.1.1(d), by its title as quoted in ICM magazine "
                "9/2015 page 19",
                TEN_THOUSAND_FEET,
                _ASK_THE_MAKER,
                _from_sea_level,
            ),
            Convention(
                "from_sea_level_above_2000_ft",
                "4 % for each 1000 ft above sea level, but only in places above 2000 ft",
                "NFPA 54 / ANSI Z223.1 as quoted by an appliance manual; the clause itself from "
                "memory",
                TEN_THOUSAND_FEET,
                _ASK_THE_MAKER,
                _from_sea_level_above_2000_ft,
            ),
            Convention(
                "above_2000_ft",
                "4 % for each 1000 ft above 2000 ft",
                "appliance manuals for the United States",
                TEN_THOUSAND_FEET,
                _ASK_THE_MAKER,
                _above_2000_ft,
            ),
            Convention(
                "canada",
                "Canada: 10 % in places from 2000 to 4500 ft",
                "CSA B149.1 as quoted by appliance manuals",
                FORTY_FIVE_HUNDRED_FEET,
                "was it in feet? Above 4500 ft the authority having jurisdiction decides: ask it",
                _canada,
            ),
            Convention(
                "density",
                "What thinner air leaves by itself at the same fan speed (physics, no code)",
                "ISO 2533:1975, standard atmosphere",
                ALTITUDE.high,
                ALTITUDE.slip,
                _density,
            ),
        )
    }
)


def convention_named(convention) -> Convention:
    """The convention of that name.

    Parameters
    ----------
    convention : str
        A key of `CONVENTIONS` [-].

    Returns
    -------
    Convention
        The convention.

    Raises
    ------
    OutOfRange
        If no convention has that name.

    Examples
    --------
    >>> convention_named("canada").called
    'Canada: 10 % in places from 2000 to 4500 ft'
    """
    if isinstance(convention, str) and convention in CONVENTIONS:
        return CONVENTIONS[convention]
    close = nearest(convention, CONVENTIONS) if isinstance(convention, str) else None
    raise OutOfRange(
        f"altitude convention {convention!r} is not known; write "
        + (repr(close) if close else " or ".join(map(repr, CONVENTIONS)))
    )


def input_at_altitude(rated_input, altitude, convention):
    r"""Heat input that a convention leaves at an altitude.

    Parameters
    ----------
    rated_input : float or ndarray
        Sea-level input on the rating plate [W]. 1000 to 1e7.
    altitude : float or ndarray
        Height above mean sea level [m]. -500 to where the convention ends.
    convention : str
        A key of `CONVENTIONS` [-]. There is no default: ask which one governs.

    Returns
    -------
    float or ndarray
        Heat input [W].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the convention is not known or ends below.

    Notes
    -----
    Percentages are of the sea-level input and add up; they do not compound. Below sea level no code
    raises an input above the plate; "density" there is above 1 and no leave to fire harder. Density
    is that of the standard atmosphere, colder with altitude: at the temperature of the test the
    loss goes with pressure, 3.6 % instead of 2.9 % over the first 1000 ft.

    Examples
    --------
    >>> for name in CONVENTIONS:   # at 4000 ft
    ...     print(name, round(input_at_altitude(100e3, 1219.2, name)))
    from_sea_level 84000
    from_sea_level_above_2000_ft 84000
    above_2000_ft 92000
    canada 90000
    density 88811
    """
    rule = convention_named(convention)
    allowed = Range("altitude", ALTITUDE.low, rule.highest, "m", rule.beyond)
    return plain(RATED_INPUT.check(rated_input) * rule.share(allowed.check(altitude)))


def input_by_makers_table(altitude, table):
    r"""Heat input at an altitude, read from the maker's table.

    Parameters
    ----------
    altitude : float or ndarray
        Height above mean sea level [m]. Inside the table.
    table : sequence of pairs
        Altitude [m] and heat input [W] of each row, altitudes rising, two rows at least.

    Returns
    -------
    float or ndarray
        Heat input [W], on the straight line between two rows.

    Raises
    ------
    OutOfRange
        If `altitude` is outside the table, or the table is not as described.

    Notes
    -----
    A table by bands (2001 to 3000 ft, one figure) has two rows for each band, at its two ends.

    Examples
    --------
    >>> round(input_by_makers_table(1000.0, [(0.0, 30e3), (600.0, 29e3), (1200.0, 27e3)]))
    27667
    """
    try:
        rows = np.asarray(table)
    except ValueError:  # rows of different length
        rows = np.empty(0)
    if rows.ndim != 2 or rows.shape[0] < 2 or rows.shape[1] != 2 or rows.dtype.kind not in "iuf":
        raise OutOfRange(
            "a maker's table needs two rows at least, each an altitude in m and an input in W, "
            f"got {table!r}"
        )
    heights, inputs = ALTITUDE.check(rows[:, 0]), RATED_INPUT.check(rows[:, 1])
    if not np.all(np.diff(heights) > 0):
        raise OutOfRange(f"altitudes in a maker's table must rise from row to row, got {table!r}")
    allowed = Range(
        "altitude", heights[0], heights[-1], "m", "the maker's table ends there: ask the maker"
    )
    return plain(np.interp(allowed.check(altitude), heights, inputs))

"""Whether measured O2 and CO2 can belong to this fuel, and what could be wrong when they cannot.

All readings of complete combustion lie on the fuel's line (see `engine.physics.flue_gas`). Air that
leaks into the flue or the hose, a leaner mixture and recirculated flue gas all move a reading
*along* the line; none of them explains a gap. What does: another fuel, a cell that reads wrong, or
too little air, where the line ends at O2 = 0 and CO2 falls while CO rises.
"""

import math
from dataclasses import dataclass

from engine.physics.flue_gas import FLUE_CARBON_DIOXIDE, FLUE_OXYGEN, fuel_line_gap, o2_from_co2
from engine.physics.fuels import AIR_OXYGEN, FUELS, fuel_named
from engine.physics.limits import Range, one_by_one, plain

# CO2max of supplied natural gases runs from 11.7 to 12.2 % (examination text of the trade), that of
# liquefied gases from 13.7 (propane) to 14.0 % (butane, both computed): half of the wider spread,
# rounded up. It shrinks with dilution as CO2 does.
SUPPLY_SPREAD = 0.003

# The same as one standard deviation and as a share of CO2max, 0.3 of 11.8 points being two of them.
SPREAD_OF_CO2MAX = SUPPLY_SPREAD / 0.118 / 2

WORKED_OUT_CO2 = Range("CO2 worked out", 0.0, 0.20, "1", "was it in per cent?")
WORKED_OUT_O2 = Range("O2 worked out", 0.0, AIR_OXYGEN, "1", "was it in per cent?")

# Standard deviations that are no finding, before the spread of supplies is added.
TAKEN_AS_CHANCE = 2.0

CELL_DEVIATION = Range(
    "standard deviation of a cell",
    1e-5,
    0.02,
    "1",
    "was it in percentage points? 0.002 is 0.2 % O2",
)
SAMPLE_OXYGEN = Range(
    "O2 in the sample", 0.0, 0.21, "1", "was a reading in per cent passed without converting it?"
)
FRESH_AIR_READING = Range(
    "O2 shown in fresh air", 0.1, 0.3, "1", "is the cell alive, and the reading in per cent?"
)
ZERO_READING = Range(
    "O2 shown without oxygen", -0.02, 0.05, "1", "was a reading in per cent passed unconverted?"
)


@dataclass(frozen=True)
class Explanation:
    """One thing that alone would put the readings where they are.

    Parameters
    ----------
    kind : str
        ``"too_little_air"``, ``"wrong_fuel_set"``, ``"o2_cell_low"``, ``"o2_cell_high"``,
        ``"co2_cell_low"`` or ``"co2_cell_high"`` [-].
    wrong_by : float
        How far the reading concerned would have to be wrong [1]: that of the cell; the O2 that
        should be 0 with too little air; the gap that is left to the line of the other fuel.
    deviations : float
        The same in standard deviations [1]: the smaller, the easier to believe.
    fuel : str or None
        The other fuel [-].
    """

    kind: str
    wrong_by: float
    deviations: float
    fuel: str | None = None


@dataclass(frozen=True)
class FuelLineVerdict:
    """What a pair of readings says about fuel and cells.

    Parameters
    ----------
    gap : float
        CO2 measured minus CO2 that belongs to the O2 [1].
    deviations : float
        Size of the gap in standard deviations of the instrument [1].
    fits : bool
        Whether chance and the spread of supplies account for the gap [-].
    explanations : tuple of Explanation
        What else would, the dangerous one first, then the easiest to believe; empty when it fits
        [-].
    """

    gap: float
    deviations: float
    fits: bool
    explanations: tuple[Explanation, ...]


def fuel_line_verdict(o2, co2, fuel, o2_deviation, co2_deviation):
    r"""Judge a pair of *measured* readings against the fuel's line.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen in dry flue gas [1]. 0 to 0.20.
    co2 : float or ndarray
        Carbon dioxide in the same sample, *measured* [1]. 0.005 to 0.20.
    fuel : str or Fuel
        The fuel believed to burn: ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].
    o2_deviation : float or ndarray
        Standard deviation of the O2 reading [1]. 0.00001 to 0.02.
    co2_deviation : float or ndarray
        Standard deviation of the CO2 reading [1]. 0.00001 to 0.02.

    Returns
    -------
    FuelLineVerdict, or ndarray of them
        Gap, its size in standard deviations, whether it fits, and the explanations.

    Raises
    ------
    OutOfRange
        If a reading or deviation is outside its range, or the fuel is not known.

    Notes
    -----
    Says nothing when the analyser computes CO2 from O2: then a gap only tells which fuel it was
    set to. A leak of air into the sample stays on the line and is never among the explanations.
    An instrument's "accuracy of 0.2 %" is commonly twice its standard deviation.

    Examples
    --------
    >>> verdict = fuel_line_verdict(0.05, 0.105, "natural_gas", 0.001, 0.0015)
    >>> verdict.fits, round(100 * verdict.gap, 1)
    (False, 1.5)
    >>> [each.kind for each in verdict.explanations][:1], verdict.explanations[0].fuel
    (['wrong_fuel_set'], 'propane')
    """
    gas = fuel_named(fuel)
    return one_by_one(
        lambda *reading: _verdict(gas, *reading),
        FLUE_OXYGEN.check(o2),
        FLUE_CARBON_DIOXIDE.check(co2),
        CELL_DEVIATION.check(o2_deviation),
        CELL_DEVIATION.check(co2_deviation),
    )


def _verdict(gas, oxygen, carbon_dioxide, o2_sd, co2_sd) -> FuelLineVerdict:
    def against(other):
        """Gap, its standard deviation, and the gap that is no finding."""
        deviation = math.hypot(co2_sd, other.co2_max_dry / AIR_OXYGEN * o2_sd)
        spread = SUPPLY_SPREAD * (1 - oxygen / AIR_OXYGEN)
        gap = fuel_line_gap(oxygen, carbon_dioxide, other)
        return gap, deviation, TAKEN_AS_CHANCE * deviation + spread

    gap, deviation, taken = against(gas)
    if abs(gap) <= taken:
        return FuelLineVerdict(gap, abs(gap) / deviation, True, ())

    side = "high" if gap > 0 else "low"
    found = [Explanation(f"co2_cell_{side}", abs(gap), abs(gap) / co2_sd)]
    if carbon_dioxide <= gas.co2_max_dry:  # above that, no O2 would belong to the CO2
        off = abs(oxygen - o2_from_co2(carbon_dioxide, gas))
        found.append(Explanation(f"o2_cell_{side}", off, off / o2_sd))
    for other in FUELS.values():
        left, its_deviation, its_taken = against(other)
        if abs(left) <= its_taken:  # not the fuel believed: that has been found not to fit
            size = abs(left) / its_deviation
            found.append(Explanation("wrong_fuel_set", abs(left), size, other.name))
    found.sort(key=lambda each: each.deviations)
    if gap < 0 and oxygen <= TAKEN_AS_CHANCE * o2_sd:
        found.insert(0, Explanation("too_little_air", oxygen, oxygen / o2_sd))
    return FuelLineVerdict(gap, abs(gap) / deviation, False, tuple(found))


def supply_deviation_co2(co2):
    r"""Standard deviation of a CO2 worked out from O2, for the natural gases differ.

    Parameters
    ----------
    co2 : float or ndarray
        Carbon dioxide worked out, mole fraction [1]. 0 to 0.20.

    Returns
    -------
    float or ndarray
        One standard deviation, half of `SUPPLY_SPREAD` thinned as CO2 is [1].

    Raises
    ------
    OutOfRange
        If `co2` is outside 0 to 0.20.

    Examples
    --------
    >>> round(100 * supply_deviation_co2(0.09), 2)
    0.11
    """
    return plain(SPREAD_OF_CO2MAX * WORKED_OUT_CO2.check(co2))


def supply_deviation_o2(o2):
    r"""Standard deviation of an O2 worked out from CO2, for the natural gases differ.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen worked out, mole fraction [1]. 0 to 0.209.

    Returns
    -------
    float or ndarray
        One standard deviation [1].

    Raises
    ------
    OutOfRange
        If `o2` is outside 0 to 0.209.

    Notes
    -----
    O2 = 20.9 %·(1 - CO2/CO2max), so that a share of CO2max is that share of 20.9 % - O2.

    Examples
    --------
    >>> round(100 * supply_deviation_o2(0.05), 2)
    0.2
    """
    return plain(SPREAD_OF_CO2MAX * (AIR_OXYGEN - WORKED_OUT_O2.check(o2)))


def false_air_share(expected_co2, read_co2):
    r"""Share of the sample that is air leaked in, if CO2 fell from one value to the other.

    Parameters
    ----------
    expected_co2 : float or ndarray
        Carbon dioxide that the burner is set to, dry, mole fraction [1]. 0.005 to 0.20.
    read_co2 : float or ndarray
        Carbon dioxide read, dry, mole fraction [1]. 0.005 to 0.20.

    Returns
    -------
    float or ndarray
        Air over sample, by dry volume [1]; negative when CO2 rose, which no leak does.

    Raises
    ------
    OutOfRange
        If a reading is outside its range.

    Notes
    -----
    A leaner mixture gives the same readings, O2 and CO alike: only a second sampling point, or
    sealing the suspected joint, tells the two apart. CO2 of the leaking air (0.04 %) is left out.

    Examples
    --------
    >>> round(false_air_share(0.09, 0.072), 2)
    0.2
    """
    expected = FLUE_CARBON_DIOXIDE.check(expected_co2)
    return plain(1 - FLUE_CARBON_DIOXIDE.check(read_co2) / expected)


def o2_shown(o2, fresh_air_reading, zero_reading=0.0):
    r"""O2 that a faulty cell shows, from what it shows in fresh air and in gas without oxygen.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen truly in the dry sample, mole fraction [1]. 0 to 0.21.
    fresh_air_reading : float or ndarray
        What the cell shows in fresh air, mole fraction [1]. 0.10 to 0.30; a sound one 0.209.
    zero_reading : float or ndarray
        What the cell shows in gas without oxygen, mole fraction [1]. -0.02 to 0.05; a sound one 0.

    Returns
    -------
    float or ndarray
        Reading [1].

    Raises
    ------
    OutOfRange
        If a value is outside its range.

    Notes
    -----
    A straight line between the two points. An analyser that sets itself to 20.9 % when switched on
    hides a weak cell there; switched on in air with 20.3 % it shows 21.5 % in fresh air ever after.

    Examples
    --------
    >>> round(100 * o2_shown(0.05, fresh_air_reading=0.19), 2)
    4.55
    """
    true = SAMPLE_OXYGEN.check(o2)
    zero = ZERO_READING.check(zero_reading)
    return plain(zero + (FRESH_AIR_READING.check(fresh_air_reading) - zero) * true / AIR_OXYGEN)

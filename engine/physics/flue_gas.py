"""Reading a flue-gas analyser: oxygen, carbon dioxide and carbon monoxide, all on dry gas.

Complete combustion in dry air puts O2 and CO2 of one fuel on a straight line, from (0, CO2max) to
(20.9 %, 0). Where a reading lies on the line is the excess air; how far off the line it lies is
a fault of the measurement, not of the boiler.
"""

import numpy as np

from engine.physics.fuels import AIR_OXYGEN, fuel_named
from engine.physics.limits import Range, plain

FLUE_OXYGEN = Range(
    "O2 in dry flue gas",
    0.0,
    0.20,
    "1",
    "is the probe in the flue with the boiler firing, and the reading in per cent?",
)
FLUE_CARBON_DIOXIDE = Range(
    "CO2 in dry flue gas",
    0.005,
    0.20,
    "1",
    "is the probe in the flue with the boiler firing, and the reading in per cent?",
)
GAS_TEMPERATURE = Range(
    "temperature", 200.0, 1500.0, "K", "was a reading in °C or °F passed without converting it?"
)
AIR_RATIO = Range(
    "excess air ratio", 1.0, 20.0, "1", "was the excess air passed, 0.3 or 30 %, instead of 1.3?"
)
AIR_HUMIDITY = Range(
    "water vapour in the air, mole per mole of dry air",
    0.0,
    0.35,
    "1",
    "was a relative humidity in per cent or a content in g/kg passed without converting it?",
)


def co2_from_o2(o2, fuel):
    r"""CO2 that belongs to an O2 reading, CO2 = CO2max·(1 - O2/20.9 %).

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray, same shape as `o2`
        Carbon dioxide in dry flue gas, mole fraction [1].

    Raises
    ------
    OutOfRange
        If `o2` is outside 0 to 0.20, or the fuel is not known.

    Notes
    -----
    Complete combustion only. At O2 = 0 the line ends: with still less air CO2 falls again and CO
    rises, and O2 no longer says anything. CO2 of the air (0.04 %) is left out.

    Examples
    --------
    >>> round(100 * co2_from_o2(0.05, "natural_gas"), 2)
    9.0
    """
    oxygen = FLUE_OXYGEN.check(o2)
    return plain(fuel_named(fuel).co2_max_dry * (1 - oxygen / AIR_OXYGEN))


def o2_from_co2(co2, fuel):
    r"""O2 that belongs to a CO2 reading, O2 = 20.9 %·(1 - CO2/CO2max).

    Parameters
    ----------
    co2 : float or ndarray
        Carbon dioxide in dry flue gas, mole fraction [1]. 0.005 to the fuel's CO2max.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray, same shape as `co2`
        Oxygen in dry flue gas, mole fraction [1].

    Raises
    ------
    OutOfRange
        If `co2` is outside 0.005 to CO2max, or the fuel is not known.

    Notes
    -----
    Assumes excess air: a CO2 below CO2max is also reached with too little air, and only CO tells
    the two apart.

    Examples
    --------
    >>> round(100 * o2_from_co2(0.09, "natural_gas"), 2)
    5.01
    """
    most = fuel_named(fuel).co2_max_dry
    allowed = Range(
        FLUE_CARBON_DIOXIDE.name,
        FLUE_CARBON_DIOXIDE.low,
        most,
        "1",
        f"this fuel cannot show more than {100 * most:.1f} %: is the fuel right, "
        "in the analyser too, and the probe in the flue?",
    )
    return plain(AIR_OXYGEN * (1 - allowed.check(co2) / most))


def excess_air_ratio(o2, fuel):
    r"""Air used over air needed, lambda = 1 + (V/A)·O2/(20.9 % - O2).

    V is the dry flue gas and A the air of exact combustion, both per mole of fuel.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray, same shape as `o2`
        Air ratio lambda [1]; 1.3 means 30 % excess air.

    Raises
    ------
    OutOfRange
        If `o2` is outside 0 to 0.20, or the fuel is not known.

    Notes
    -----
    Complete combustion only, no air leaking in between burner and probe. With recirculated flue
    gas in the intake this is the ratio of *fresh* air.

    Examples
    --------
    >>> round(excess_air_ratio(0.05, "natural_gas"), 3)
    1.282
    """
    oxygen = FLUE_OXYGEN.check(o2)
    gas = fuel_named(fuel)
    share = gas.stoichiometric_dry_flue_gas / gas.stoichiometric_air
    return plain(1 + share * oxygen / (AIR_OXYGEN - oxygen))


def o2_from_excess_air_ratio(excess_air_ratio, fuel):
    r"""O2 that belongs to an air ratio, O2 = 20.9 %·(lambda - 1)/(lambda - 1 + V/A).

    Parameters
    ----------
    excess_air_ratio : float or ndarray
        Air used over air needed, lambda [1]. 1 to 20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].

    Returns
    -------
    float or ndarray, same shape as `excess_air_ratio`
        Oxygen in dry flue gas, mole fraction [1].

    Raises
    ------
    OutOfRange
        If the ratio is outside 1 to 20, or the fuel is not known.

    Notes
    -----
    The way back from `excess_air_ratio`, with the same V and A; CO2 follows by `co2_from_o2`.

    Examples
    --------
    >>> round(100 * o2_from_excess_air_ratio(1.282, "natural_gas"), 1)
    5.0
    """
    more = AIR_RATIO.check(excess_air_ratio) - 1
    gas = fuel_named(fuel)
    share = gas.stoichiometric_dry_flue_gas / gas.stoichiometric_air
    return plain(AIR_OXYGEN * more / (more + share))


def dry_flue_gas(o2, fuel):
    r"""Dry flue gas that one mole of fuel leaves, V = V0·20.9 %/(20.9 % - O2).

    V0 is the dry flue gas of exact combustion.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray, same shape as `o2`
        Dry flue gas [mol per mol of fuel]; by volume the same, at one temperature and pressure.

    Raises
    ------
    OutOfRange
        If `o2` is outside 0 to 0.20, or the fuel is not known.

    Notes
    -----
    Complete combustion only. Air that leaks in before the probe is counted as flue gas.

    Examples
    --------
    >>> round(dry_flue_gas(0.05, "natural_gas"), 2)
    11.56
    """
    oxygen = FLUE_OXYGEN.check(o2)
    return plain(fuel_named(fuel).stoichiometric_dry_flue_gas * AIR_OXYGEN / (AIR_OXYGEN - oxygen))


def wet_flue_gas(o2, fuel, air_humidity=0.0):
    r"""Flue gas that one mole of fuel leaves at the burner, its water still vapour.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen in *dry* flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].
    air_humidity : float or ndarray
        Water vapour in the combustion air, mole per mole of dry air [1]. 0 to 0.35.

    Returns
    -------
    float or ndarray
        Wet flue gas before condensation [mol per mol of fuel].

    Raises
    ------
    OutOfRange
        If `o2` or `air_humidity` is outside its range, or the fuel is not known.

    Notes
    -----
    Complete combustion, dry fuel gas.

    Examples
    --------
    >>> round(wet_flue_gas(0.05, "natural_gas"), 2)
    13.58
    """
    share = np.asarray(water_share(o2, fuel, air_humidity))
    return plain(np.asarray(dry_flue_gas(o2, fuel)) / (1 - share))


def water_share(o2, fuel, air_humidity=0.0):
    r"""Water vapour in wet flue gas as it leaves the burner.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen in *dry* flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].
    air_humidity : float or ndarray
        Water vapour in the combustion air, mole per mole of dry air [1]. 0 to 0.35.

    Returns
    -------
    float or ndarray
        Water vapour in wet flue gas before condensation, mole fraction [1].

    Raises
    ------
    OutOfRange
        If `o2` or `air_humidity` is outside its range, or the fuel is not known.

    Notes
    -----
    Complete combustion, dry fuel gas.

    Examples
    --------
    >>> round(100 * water_share(0.05, "natural_gas"), 1)
    14.8
    """
    gas = fuel_named(fuel)
    air = gas.stoichiometric_air * np.asarray(excess_air_ratio(o2, gas))
    water = gas.water_per_mole + AIR_HUMIDITY.check(air_humidity) * air
    return plain(water / (water + np.asarray(dry_flue_gas(o2, gas))))


def fuel_line_gap(o2, co2, fuel):
    r"""CO2 measured minus the CO2 that the O2 reading predicts.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    co2 : float or ndarray
        Carbon dioxide in dry flue gas, *measured* [1]. 0.005 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray
        Gap [1]; 0.01 means one percentage point more CO2 than belongs to the O2.

    Raises
    ------
    OutOfRange
        If a reading is outside its range, or the fuel is not known.

    Notes
    -----
    Most analysers measure O2 only and *compute* CO2 from it: then the gap only says which fuel
    the analyser was told. Only a measured CO2 tells of a failing cell. Air leaking into the sample
    and recirculated flue gas move a reading *along* the line, not off it. Natural gases differ: a
    gap within 0.3 percentage points is no finding.

    Examples
    --------
    >>> round(100 * fuel_line_gap(0.05, 0.105, "natural_gas"), 1)   # a propane reading
    1.5
    """
    predicted = np.asarray(co2_from_o2(o2, fuel))
    return plain(FLUE_CARBON_DIOXIDE.check(co2) - predicted)


def temperature_difference(hot, cold):
    r"""How much warmer one place is than another.

    Parameters
    ----------
    hot : float or ndarray
        Temperature of the place expected to be warmer, such as the flue gas [K]. 200 to 1500.
    cold : float or ndarray
        Temperature of the other, such as the return water [K]. 200 to 1500.

    Returns
    -------
    float or ndarray
        Difference [K]; negative when the "cold" place is the warmer one.

    Raises
    ------
    OutOfRange
        If a temperature is outside 200 to 1500 K.

    Examples
    --------
    >>> temperature_difference(333.15, 323.15)
    10.0
    """
    return plain(GAS_TEMPERATURE.check(hot) - GAS_TEMPERATURE.check(cold))

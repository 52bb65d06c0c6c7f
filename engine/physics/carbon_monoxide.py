"""Carbon monoxide in dry flue gas: as it would be without excess air, and against CO2."""

from engine.physics.flue_gas import FLUE_CARBON_DIOXIDE, FLUE_OXYGEN, o2_from_co2
from engine.physics.fuels import AIR_OXYGEN
from engine.physics.limits import Range, plain

CARBON_MONOXIDE = Range(
    "CO in dry flue gas", 0.0, 0.1, "1", "was a reading in ppm passed without converting it?"
)


def co_air_free(co, o2):
    r"""CO as it would be without excess air, CO·20.9 %/(20.9 % - O2).

    Parameters
    ----------
    co : float or ndarray
        Carbon monoxide in dry flue gas, mole fraction [1]. 0 to 0.1.
    o2 : float or ndarray
        Oxygen in the same sample, mole fraction [1]. 0 to 0.20.

    Returns
    -------
    float or ndarray
        Carbon monoxide, air-free, mole fraction [1].

    Raises
    ------
    OutOfRange
        If a reading is outside its range.

    Notes
    -----
    Only for a steady flame: after the burner stops the O2 cell recovers faster than the CO cell and
    the figure climbs wildly. The factor is 23 at 20 % O2: there it multiplies the analyser's
    smallest digit, not a finding.

    Examples
    --------
    >>> round(1e6 * co_air_free(87e-6, 0.05), 1)
    114.4

    References
    ----------
    [1] hvacrschool.com, "What Does Air Free CO (Carbon Monoxide) Mean?", for the formula.
    """
    monoxide = CARBON_MONOXIDE.check(co)
    return plain(monoxide * AIR_OXYGEN / (AIR_OXYGEN - FLUE_OXYGEN.check(o2)))


def co_air_free_by_co2(co, co2, fuel):
    r"""CO as it would be without excess air, CO·CO2max/CO2, where O2 was not read.

    Parameters
    ----------
    co : float or ndarray
        Carbon monoxide in dry flue gas, mole fraction [1]. 0 to 0.1.
    co2 : float or ndarray
        Carbon dioxide in the same sample, mole fraction [1]. 0.005 to the fuel's CO2max.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray
        Carbon monoxide, air-free, mole fraction [1].

    Raises
    ------
    OutOfRange
        If a reading is outside its range, or the fuel is not known.

    Notes
    -----
    The same as `co_air_free` where O2 and CO2 lie on the fuel's line.

    Examples
    --------
    >>> round(1e6 * co_air_free_by_co2(87e-6, 0.09, "natural_gas"), 1)
    114.4
    """
    return co_air_free(co, o2_from_co2(co2, fuel))


def co_to_co2_ratio(co, co2):
    r"""CO over CO2, a measure of incomplete combustion that dilution does not change.

    Parameters
    ----------
    co : float or ndarray
        Carbon monoxide in dry flue gas, mole fraction [1]. 0 to 0.1.
    co2 : float or ndarray
        Carbon dioxide in the same sample, mole fraction [1]. 0.005 to 0.20.

    Returns
    -------
    float or ndarray
        Ratio [1].

    Raises
    ------
    OutOfRange
        If a reading is outside its range.

    Examples
    --------
    >>> round(co_to_co2_ratio(350e-6, 0.09), 4)
    0.0039
    """
    return plain(CARBON_MONOXIDE.check(co) / FLUE_CARBON_DIOXIDE.check(co2))

"""How much condensate a boiler should drop, and how much of that was caught.

Less than expected, with the flue gas below its dew point, means that water leaves another way: out
of the terminal, back into the casing, or through a leak. More than the greatest rate means that
other water gets in, such as rain or melting snow in the vent.
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.flue_gas import dry_flue_gas, water_share
from engine.physics.fuels import fuel_named
from engine.physics.heat import WATER_MOLAR_MASS
from engine.physics.limits import Range, plain
from engine.physics.losses import condensed_share

WATER_DENSITY = 998.2  # kg/m³ at 20 °C, IAPWS-95; what is caught is measured about cold
GROSS_INPUT = Range(
    "gross heat input", 1e3, 1e7, "W", "was it in kW or Btu/h, or is the burner off?"
)
CAUGHT_RATE = Range(
    "condensate caught", 0.0, 2e-3, "m³/s", "was a rate in L/h passed without converting it?"
)


def _water_volume(moles):
    return moles * WATER_MOLAR_MASS / WATER_DENSITY


def condensate_rate(
    gross_heat_input,
    flue_temperature,
    o2,
    fuel,
    absolute_pressure=101_325.0,
    air_humidity=0.0,
):
    r"""Condensate expected from a boiler whose flue gas leaves saturated.

    Parameters
    ----------
    gross_heat_input : float or ndarray
        Heat input on gross basis [W]. 1000 to 10 million.
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. 273.15 to 573.15.
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].
    absolute_pressure : float or ndarray
        Absolute pressure in the flue, that of the place [Pa]. 50 000 to 110 000.
    air_humidity : float or ndarray
        Water vapour in the combustion air, mole per mole of dry air [1]. 0 to 0.35.

    Returns
    -------
    float or ndarray
        Rate [m³/s of water at 20 °C]; 0 above the dew point.

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Notes
    -----
    In steady running; the first water after a cold start wets the tubes and fills the trap. With a
    cold return and a flue just above the dew point some water drops although this says none: see
    `engine.physics.losses` for the model.

    Examples
    --------
    >>> litres_per_hour = 3.6e6 * condensate_rate(30e3, 313.15, 0.05, "natural_gas")
    >>> round(litres_per_hour, 2)
    2.38
    """
    gas = fuel_named(fuel)
    wet_share = np.asarray(water_share(o2, gas, air_humidity))
    water = np.asarray(dry_flue_gas(o2, gas)) * wet_share / (1 - wet_share)
    caught = condensed_share(flue_temperature, o2, gas, absolute_pressure, air_humidity) * water
    return plain(_water_volume(caught) * GROSS_INPUT.check(gross_heat_input) / gas.gross_heat)


def greatest_condensate_rate(gross_heat_input, fuel):
    r"""Condensate if all water that the fuel forms were caught.

    Parameters
    ----------
    gross_heat_input : float or ndarray
        Heat input on gross basis [W]. 1000 to 10 million.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray, same shape as `gross_heat_input`
        Rate [m³/s of water at 20 °C].

    Raises
    ------
    OutOfRange
        If the heat input is outside 1000 to 10 million W, or the fuel is not known.

    Notes
    -----
    Water of the air is left out: a boiler colder than the dew point of the air would add it. No
    boiler reaches this rate with dry air; drains and neutralisers are laid out for it.

    Examples
    --------
    >>> round(3.6e6 * greatest_condensate_rate(30e3, "natural_gas"), 2)   # litres per hour
    4.33
    """
    gas = fuel_named(fuel)
    moles = GROSS_INPUT.check(gross_heat_input) / gas.gross_heat * gas.water_per_mole
    return plain(_water_volume(moles))


def caught_share(
    caught_rate,
    gross_heat_input,
    flue_temperature,
    o2,
    fuel,
    absolute_pressure=101_325.0,
    air_humidity=0.0,
):
    r"""Condensate caught in a vessel over condensate expected.

    Parameters
    ----------
    caught_rate : float or ndarray
        Water caught at the drain, volume over time [m³/s]. 0 to 0.002.
    gross_heat_input : float or ndarray
        Heat input on gross basis over the same time [W]. 1000 to 10 million.
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. 273.15 to the dew point.
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].
    absolute_pressure : float or ndarray
        Absolute pressure in the flue, that of the place [Pa]. 50 000 to 110 000.
    air_humidity : float or ndarray
        Water vapour in the combustion air, mole per mole of dry air [1]. 0 to 0.35.

    Returns
    -------
    float or ndarray
        Share [1].

    Raises
    ------
    OutOfRange
        If a value is outside its range, the fuel is not known, or no condensate is expected.

    Notes
    -----
    Only in steady running, the trap full, caught for at least ten minutes (common practice, no
    source). Close below the dew point the expected rate is small and its error large: one kelvin is
    5 % of it at 40 °C, but half of it at 52 °C.

    Examples
    --------
    >>> round(caught_share(0.5e-6, 30e3, 313.15, 0.05, "natural_gas"), 2)
    0.76
    """
    expected = np.asarray(
        condensate_rate(
            gross_heat_input, flue_temperature, o2, fuel, absolute_pressure, air_humidity
        )
    )
    caught = CAUGHT_RATE.check(caught_rate)
    if not np.all(np.asarray(expected) > 0):
        raise OutOfRange(
            "no condensate is expected at this flue temperature, it is above the dew point; "
            "is the return colder than the dew point, and the flue temperature right?"
        )
    return plain(caught / expected)

r"""Heat lost with the flue gas, and the efficiency that leaves, with and without condensation.

*Gross* counts the heat of the fuel with its water condensed, *net* with its water as vapour; the
same useful heat is a larger share of the net input, by 11 % for natural gas, so that an efficiency
on net basis may exceed 100 %.

The balance. Fuel and air enter at the temperature of the air t; n_i moles of dry gas, v of vapour
and w of condensate leave at the flue temperature T, for one mole of fuel whose gross heat is H:

    useful   = H - S - L
    sensible S = Σ n_i·(h_i(T) - h_i(t)) + v·(h_v(T) - h_v(t)) + w·(h_l(T) - h_l(t))
    latent   L = (v - v_air)·r(t)

with r the heat of evaporation and v_air the vapour that came with the air. It is exact when H is
the heat of combustion at t. H is taken at 25 °C instead: between -20 and 40 °C it differs by less
than 0.5 %, and the losses, as shares of it, by as much of themselves.

The condensate. Flue gas that leaves below its dew point leaves *saturated at its temperature*, and
with the condensate at that temperature too. That is the limit for one surface at one temperature;
a boiler differs both ways. Its coldest tubes condense although the mean flue gas is above the dew
point, so that it may catch *more*; and droplets, or gas that bypasses the tubes, carry water out,
so that it may catch *less*.

Losses through the casing, of the standing boiler, and of unburned gas are not in the flue gas: the
efficiency here is that of combustion, an upper limit for the boiler's.
"""

import numpy as np

from engine.physics.flue_gas import FLUE_OXYGEN, dry_flue_gas, water_share
from engine.physics.fuels import fuel_named
from engine.physics.heat import LIQUID_HEAT_CAPACITY, evaporation_heat, gas_enthalpy
from engine.physics.limits import Range, plain
from engine.physics.moisture import ABSOLUTE_PRESSURE, INTAKE_TEMPERATURE, saturation_pressure

FLUE_TEMPERATURE = Range(
    "flue gas temperature",
    273.15,
    573.15,
    "K",
    "was a reading in °C or °F passed without converting it?",
)


def _water(flue_temperature, o2, fuel, absolute_pressure, air_humidity):
    """Temperature, dry gas, water in all, and water still vapour (mol per mol of fuel)."""
    flue = FLUE_TEMPERATURE.check(flue_temperature)
    dry = np.asarray(dry_flue_gas(o2, fuel))
    share = np.asarray(water_share(o2, fuel, air_humidity))
    saturated = np.asarray(saturation_pressure(flue)) / ABSOLUTE_PRESSURE.check(absolute_pressure)
    left = np.minimum(saturated, share)
    return flue, dry, dry * share / (1 - share), dry * left / (1 - left)


def condensed_share(flue_temperature, o2, fuel, absolute_pressure=101_325.0, air_humidity=0.0):
    r"""Share of the flue gas's water that has condensed when it leaves the boiler.

    Parameters
    ----------
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
        Condensate over all water, formed and brought by the air [1]; 0 above the dew point.

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Notes
    -----
    Saturated flue gas: see the module for what that leaves out.

    Examples
    --------
    >>> round(condensed_share(313.15, 0.05, "natural_gas"), 2)   # 40 °C
    0.55
    >>> condensed_share(333.15, 0.05, "natural_gas")             # 60 °C
    0.0
    """
    _, _, water, vapour = _water(flue_temperature, o2, fuel, absolute_pressure, air_humidity)
    return plain((water - vapour) / water)


def _losses(flue_temperature, air_temperature, o2, fuel, absolute_pressure, air_humidity):
    """Sensible and latent loss as shares of the gross heat."""
    gas = fuel_named(fuel)
    flue, dry, water, vapour = _water(flue_temperature, o2, gas, absolute_pressure, air_humidity)
    air = INTAKE_TEMPERATURE.check(air_temperature)

    def warming(species):
        return np.asarray(gas_enthalpy(species, flue)) - np.asarray(gas_enthalpy(species, air))

    oxygen = FLUE_OXYGEN.check(o2) * dry
    carbon_dioxide = gas.co2_max_dry * gas.stoichiometric_dry_flue_gas
    sensible = (
        carbon_dioxide * warming("CO2")
        + oxygen * warming("O2")
        + (dry - oxygen - carbon_dioxide) * warming("N2")
        + vapour * warming("H2O")
        + (water - vapour) * LIQUID_HEAT_CAPACITY * (flue - air)
    )
    from_air = water - gas.water_per_mole
    latent = (vapour - from_air) * np.asarray(evaporation_heat(air))
    return sensible / gas.gross_heat, latent / gas.gross_heat


def sensible_loss_gross(
    flue_temperature,
    air_temperature,
    o2,
    fuel,
    absolute_pressure=101_325.0,
    air_humidity=0.0,
):
    r"""Heat lost because flue gas and condensate leave warmer than the air, per gross input.

    Parameters
    ----------
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. 273.15 to 573.15.
    air_temperature : float or ndarray
        Temperature of the combustion air at the intake [K]. 223.15 to 323.15.
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
        Share of the gross heat input [1]; negative where the flue gas leaves colder than the air.

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Notes
    -----
    All gas that leaves, the vapour in it and the condensate, cooled to the temperature of the air.
    The derivation stands on top of the module.

    Examples
    --------
    >>> round(100 * sensible_loss_gross(333.15, 293.15, 0.05, "natural_gas"), 2)
    1.8
    """
    return plain(
        _losses(flue_temperature, air_temperature, o2, fuel, absolute_pressure, air_humidity)[0]
    )


def latent_loss_gross(
    flue_temperature,
    air_temperature,
    o2,
    fuel,
    absolute_pressure=101_325.0,
    air_humidity=0.0,
):
    r"""Heat lost because water leaves as vapour, per gross input.

    Parameters
    ----------
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. 273.15 to 573.15.
    air_temperature : float or ndarray
        Temperature of the combustion air at the intake [K]. 223.15 to 323.15.
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
        Share of the gross heat input [1]; slightly negative where moist air dries in the boiler.

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Notes
    -----
    The vapour that came with the air is not counted as lost. Above the dew point this is the whole
    difference between gross and net heat, a tenth of the input.

    Examples
    --------
    >>> round(100 * latent_loss_gross(333.15, 293.15, 0.05, "natural_gas"), 2)
    9.81
    >>> round(100 * latent_loss_gross(313.15, 293.15, 0.05, "natural_gas"), 2)
    4.4
    """
    return plain(
        _losses(flue_temperature, air_temperature, o2, fuel, absolute_pressure, air_humidity)[1]
    )


def efficiency_gross(
    flue_temperature,
    air_temperature,
    o2,
    fuel,
    absolute_pressure=101_325.0,
    air_humidity=0.0,
):
    r"""Combustion efficiency on gross heat, condensation counted.

    Parameters
    ----------
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. 273.15 to 573.15.
    air_temperature : float or ndarray
        Temperature of the combustion air at the intake [K]. 223.15 to 323.15.
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
        Useful heat per gross heat input [1]; 1 minus sensible and latent loss.

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Notes
    -----
    Combustion only, an upper limit for the boiler: casing and standby losses are not in it, nor
    unburned gas.

    Examples
    --------
    >>> round(efficiency_gross(333.15, 293.15, 0.05, "natural_gas"), 3)
    0.884
    >>> round(efficiency_gross(313.15, 293.15, 0.05, "natural_gas"), 3)
    0.946
    """
    sensible, latent = _losses(
        flue_temperature, air_temperature, o2, fuel, absolute_pressure, air_humidity
    )
    return plain(1 - sensible - latent)


def efficiency_net(
    flue_temperature,
    air_temperature,
    o2,
    fuel,
    absolute_pressure=101_325.0,
    air_humidity=0.0,
):
    r"""Combustion efficiency on net heat, condensation counted.

    Parameters
    ----------
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. 273.15 to 573.15.
    air_temperature : float or ndarray
        Temperature of the combustion air at the intake [K]. 223.15 to 323.15.
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
        Useful heat per net heat input [1]; may exceed 1 where the flue gas condenses.

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Notes
    -----
    The same useful heat as in `efficiency_gross`, over a smaller input. Combustion only.

    Examples
    --------
    >>> round(efficiency_net(313.15, 293.15, 0.05, "natural_gas"), 3)
    1.049
    """
    gas = fuel_named(fuel)
    gross = efficiency_gross(
        flue_temperature, air_temperature, o2, gas, absolute_pressure, air_humidity
    )
    return plain(np.asarray(gross) * gas.gross_heat / gas.net_heat)

"""What flows in the vent and in the intake pipe: how much, how heavy, how viscous.

Flue gas below its dew point is taken as saturated: the water that it cannot hold has run off as
condensate, and neither flows nor weighs in the vent.
"""

import numpy as np

from engine.physics.atmosphere import AIR_TEMPERATURE
from engine.physics.components import AIR_MOLAR_MASS, GAS_CONSTANT
from engine.physics.flue_gas import AIR_HUMIDITY, dry_flue_gas, excess_air_ratio, wet_flue_gas
from engine.physics.fuels import fuel_named
from engine.physics.heat import WATER_MOLAR_MASS
from engine.physics.limits import Range, plain
from engine.physics.losses import condensed_share
from engine.physics.moisture import ABSOLUTE_PRESSURE

GROSS_INPUT = Range(
    "gross heat input", 1e3, 1e7, "W", "was it in kW or Btu/h, or is the burner off?"
)
FLUE_TEMPERATURE = Range(
    "temperature of the flue gas",
    273.15,
    573.15,
    "K",
    "was a reading in °C or °F passed without converting it?",
)

# Flue gas of 13 % CO2, 11 % H2O, 76 % N2, kelvin and Pa·s: the table of Isachenko, Osipova,
# Sukomel, Heat Transfer, appendix (the book from memory), as reprinted on kupdf.net, "Specific
# Heats for Steam, Water, Air & Flue Gases".
VISCOSITY_TABLE = (
    (273.15, 373.15, 473.15, 573.15),
    (15.8e-6, 20.4e-6, 24.5e-6, 28.2e-6),
)

# Sutherland's law for air [White, Viscous Fluid Flow, from memory]: Pa·s, K, K.
AIR_VISCOSITY, AIR_REFERENCE, SUTHERLAND = 1.716e-5, 273.15, 110.4


def flue_gas_flow(
    gross_heat_input, flue_temperature, o2, fuel, absolute_pressure=101_325.0, air_humidity=0.0
):
    r"""Volume of wet flue gas that leaves the boiler.

    Parameters
    ----------
    gross_heat_input : float or ndarray
        Heat input on gross basis [W]. 1000 to 1e7.
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. 273.15 to 573.15.
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    absolute_pressure : float or ndarray
        Absolute pressure in the vent, that of the place [Pa]. 50 000 to 110 000.
    air_humidity : float or ndarray
        Water vapour in the combustion air, mole per mole of dry air [1]. 0 to 0.35.

    Returns
    -------
    float or ndarray
        Volume flow at the flue gas's temperature and pressure [m³/s].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the fuel is not known.

    Notes
    -----
    Complete combustion, ideal gas. At the outlet: on its way up the vent the gas cools and shrinks.

    Examples
    --------
    >>> round(3600 * flue_gas_flow(30e3, 323.15, 0.05, "natural_gas"), 1)   # m³/h
    41.4
    """
    moles, _ = _per_mole_of_fuel(flue_temperature, o2, fuel, absolute_pressure, air_humidity)
    molar_volume = GAS_CONSTANT * np.asarray(flue_temperature) / np.asarray(absolute_pressure)
    return plain(_fuel_flow(gross_heat_input, fuel) * moles * molar_volume)


def intake_air_flow(
    gross_heat_input, intake_temperature, o2, fuel, absolute_pressure=101_325.0, air_humidity=0.0
):
    r"""Volume of air that the boiler draws.

    Parameters
    ----------
    gross_heat_input : float or ndarray
        Heat input on gross basis [W]. 1000 to 1e7.
    intake_temperature : float or ndarray
        Temperature of the air in the intake pipe [K]. 200 to 400.
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    absolute_pressure : float or ndarray
        Absolute pressure of the air [Pa]. 50 000 to 110 000.
    air_humidity : float or ndarray
        Water vapour in the air, mole per mole of dry air [1]. 0 to 0.35.

    Returns
    -------
    float or ndarray
        Volume flow at the air's temperature and pressure [m³/s].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the fuel is not known.

    Notes
    -----
    Fresh air only: what comes back as flue gas is drawn on top of it.

    Examples
    --------
    >>> round(3600 * intake_air_flow(30e3, 293.15, 0.05, "natural_gas"), 1)   # m³/h
    35.8
    """
    kelvin = AIR_TEMPERATURE.check(intake_temperature)
    pressure = ABSOLUTE_PRESSURE.check(absolute_pressure)
    dry = np.asarray(excess_air_ratio(o2, fuel)) * fuel_named(fuel).stoichiometric_air
    moles = dry * (1 + AIR_HUMIDITY.check(air_humidity))
    return plain(_fuel_flow(gross_heat_input, fuel) * moles * GAS_CONSTANT * kelvin / pressure)


def flue_gas_density(flue_temperature, o2, fuel, absolute_pressure=101_325.0, air_humidity=0.0):
    r"""Density of wet flue gas.

    Parameters
    ----------
    flue_temperature : float or ndarray
        Temperature of the flue gas [K]. 273.15 to 573.15.
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    absolute_pressure : float or ndarray
        Absolute pressure in the vent, that of the place [Pa]. 50 000 to 110 000.
    air_humidity : float or ndarray
        Water vapour in the combustion air, mole per mole of dry air [1]. 0 to 0.35.

    Returns
    -------
    float or ndarray
        Density [kg/m³].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the fuel is not known.

    Notes
    -----
    Ideal gas. Mass is that of fuel and air less the condensate. Droplets carried along are left
    out.

    Examples
    --------
    >>> round(flue_gas_density(343.15, 0.05, "natural_gas"), 3)
    0.996
    """
    moles, mass = _per_mole_of_fuel(flue_temperature, o2, fuel, absolute_pressure, air_humidity)
    pressure, kelvin = np.asarray(absolute_pressure), np.asarray(flue_temperature)
    return plain(mass / moles * pressure / (GAS_CONSTANT * kelvin))


def flue_gas_viscosity(flue_temperature):
    r"""Dynamic viscosity of flue gas, on the straight line between the rows of a table.

    Parameters
    ----------
    flue_temperature : float or ndarray
        Temperature of the flue gas [K]. 273.15 to 573.15.

    Returns
    -------
    float or ndarray, same shape as `flue_temperature`
        Viscosity [Pa·s].

    Raises
    ------
    OutOfRange
        If the temperature is outside 273.15 to 573.15 K.

    Notes
    -----
    For 13 % CO2 and 11 % water; flue gas of a condensing boiler has less of one and more of the
    other and is within 5 % of it, which moves a pressure drop by 1 %.

    Examples
    --------
    >>> round(1e6 * flue_gas_viscosity(323.15), 1)
    18.1
    """
    return plain(np.interp(FLUE_TEMPERATURE.check(flue_temperature), *VISCOSITY_TABLE))


def air_viscosity(temperature):
    r"""Dynamic viscosity of air, Sutherland's law.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the air [K]. 200 to 400.

    Returns
    -------
    float or ndarray, same shape as `temperature`
        Viscosity [Pa·s].

    Raises
    ------
    OutOfRange
        If the temperature is outside 200 to 400 K.

    Notes
    -----
    Dry air at low pressure. Moisture lowers it by less than 1 % below 30 °C.

    Examples
    --------
    >>> round(1e6 * air_viscosity(293.15), 1)
    18.1
    """
    kelvin = AIR_TEMPERATURE.check(temperature)
    return plain(
        AIR_VISCOSITY
        * (kelvin / AIR_REFERENCE) ** 1.5
        * (AIR_REFERENCE + SUTHERLAND)
        / (kelvin + SUTHERLAND)
    )


def _fuel_flow(gross_heat_input, fuel):
    """Moles of fuel per second."""
    return GROSS_INPUT.check(gross_heat_input) / fuel_named(fuel).gross_heat


def _per_mole_of_fuel(flue_temperature, o2, fuel, absolute_pressure, air_humidity):
    """Moles [mol] and mass [kg] of gas in the vent, per mole of fuel."""
    gas = fuel_named(fuel)
    FLUE_TEMPERATURE.check(flue_temperature)
    dry, wet = dry_flue_gas(o2, gas), wet_flue_gas(o2, gas, air_humidity)
    drops = (np.asarray(wet) - np.asarray(dry)) * np.asarray(
        condensed_share(flue_temperature, o2, gas, absolute_pressure, air_humidity)
    )
    air = gas.stoichiometric_air * np.asarray(excess_air_ratio(o2, gas))
    moist_air = air * (AIR_MOLAR_MASS + np.asarray(air_humidity) * WATER_MOLAR_MASS)
    return np.asarray(wet) - drops, gas.molar_mass + moist_air - drops * WATER_MOLAR_MASS

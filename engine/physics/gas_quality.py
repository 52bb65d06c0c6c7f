"""How much heat a volume of fuel gas carries, and how heavy it is, as ISO 6976:2016 counts it.

Dry gas, taken as the real gas it is: at the meter methane is 0.2 % denser than an ideal gas,
propane 1.8 %. Heat is per volume at a reference temperature and pressure, which a bill or a
standard names; a meter on site sees another volume.
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.components import (
    AIR_COMPRESSION_FACTOR,
    AIR_MOLAR_MASS,
    COMBUSTION_TEMPERATURES,
    GAS_CONSTANT,
    METERING_TEMPERATURES,
    REFERENCE_PRESSURE,
    WATER_VAPORISATION,
)
from engine.physics.fuels import fuel_named
from engine.physics.limits import Range, plain

_SLIP = "is it in kelvin: 0 °C is 273.15, 60 °F is 288.71?"
COMBUSTION_TEMPERATURE = Range("combustion reference temperature", 273.15, 298.15, "K", _SLIP)
METERING_TEMPERATURE = Range("metering reference temperature", 273.15, 293.15, "K", _SLIP)
GAS_TEMPERATURE = Range("gas temperature", 253.15, 323.15, "K", _SLIP)
GAS_PRESSURE = Range(
    "absolute gas pressure",
    50e3,
    150e3,
    "Pa",
    "is it absolute, with the 101 kPa of the air added to the gauge, and in pascals?",
)


def _reference(allowed, known, temperature):
    """Place of each temperature in the row of reference temperatures; OutOfRange between them."""
    values = allowed.check(temperature)
    distance = np.abs(values[..., np.newaxis] - np.asarray(known))
    between = distance.min(axis=-1) > 0.01  # 60 °F is 15.556 °C, the standard's 15.55
    if np.any(between):
        raise OutOfRange(
            f"{allowed.name} must be one of {', '.join(f'{each:.2f}' for each in known)} K "
            f"(ISO 6976 gives no figures between them), got {values[between].flat[0]:.6g}; "
            "was the temperature of the gas itself passed?"
        )
    return distance.argmin(axis=-1)


def _check_basis(basis):
    if basis not in ("gross", "net"):
        raise OutOfRange(f'basis must be "gross" or "net", got {basis!r}')


def compression_factor(fuel, temperature, absolute_pressure=101325.0):
    r"""How much smaller the gas is than an ideal gas, Z = 1 - (p/p0)·(sum of x·s)².

    Parameters
    ----------
    fuel : str or Fuel
        A name in `FUELS` or a `Fuel` [-].
    temperature : float or ndarray
        Temperature of the gas [K]. 253.15 to 323.15.
    absolute_pressure : float or ndarray
        Absolute pressure of the gas [Pa]. 50 000 to 150 000.

    Returns
    -------
    float or ndarray
        Compression factor [1]; 1 for an ideal gas.

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Notes
    -----
    The standard's own at 0, 15, 15.55 and 20 °C and 90 to 110 kPa. Between and beyond, the
    summation factors go on in straight lines, which is ours. Over the whole range the factor stays
    within 0.0002 of the equation of state for methane, within 0.0025 for propane, worst in the
    cold at 150 kPa. Hydrogen's factor is meant for blends: one of 20 % is within 0.0003, pure
    hydrogen would be 0.0007 off. Does not know the dew point: propane at -20 °C and 244 kPa is
    liquid.

    Examples
    --------
    >>> round(compression_factor("methane", 288.15), 5)
    0.99802

    References
    ----------
    [1] ISO 6976:2016, formula (1), table 2.
    """
    kelvin = GAS_TEMPERATURE.check(temperature)
    pressure = GAS_PRESSURE.check(absolute_pressure)
    factors = fuel_named(fuel).average("summation_factor")
    first, last = METERING_TEMPERATURES[0], METERING_TEMPERATURES[-1]
    slope = (factors[-1] - factors[0]) / (last - first)
    beyond = kelvin - np.clip(kelvin, first, last)
    factor = np.interp(kelvin, METERING_TEMPERATURES, factors) + slope * beyond
    return plain(1 - pressure / REFERENCE_PRESSURE * factor**2)


def gas_density(fuel, temperature, absolute_pressure):
    r"""Density of the real gas, p·M/(Z·R·T).

    Parameters
    ----------
    fuel : str or Fuel
        A name in `FUELS` or a `Fuel` [-].
    temperature : float or ndarray
        Temperature of the gas [K]. 253.15 to 323.15.
    absolute_pressure : float or ndarray
        Absolute pressure of the gas [Pa]. 50 000 to 150 000.

    Returns
    -------
    float or ndarray
        Density [kg/m³].

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Notes
    -----
    Dry gas; as close as `compression_factor`.

    Examples
    --------
    >>> round(gas_density("natural_gas", 288.15, 101325.0), 3)
    0.721

    References
    ----------
    [1] ISO 6976:2016, clause 9.
    """
    factor = compression_factor(fuel, temperature, absolute_pressure)
    mass = np.asarray(absolute_pressure) * fuel_named(fuel).molar_mass
    return plain(mass / (factor * GAS_CONSTANT * np.asarray(temperature)))


def relative_density(fuel, temperature=288.15, absolute_pressure=101325.0):
    r"""Density of the gas over that of dry air at the same temperature and pressure.

    Parameters
    ----------
    fuel : str or Fuel
        A name in `FUELS` or a `Fuel` [-].
    temperature : float or ndarray
        Metering reference temperature [K]. 273.15, 288.15, 288.70 or 293.15.
    absolute_pressure : float or ndarray
        Metering reference pressure, absolute [Pa]. 50 000 to 150 000.

    Returns
    -------
    float or ndarray
        Relative density ("specific gravity") [1].

    Raises
    ------
    OutOfRange
        If a value is outside its range, or the fuel is not known.

    Examples
    --------
    >>> round(relative_density("natural_gas"), 3), round(relative_density("propane"), 2)
    (0.589, 1.55)

    References
    ----------
    [1] ISO 6976:2016, clause 9, tables A.3 and A.4.
    """
    place = _reference(METERING_TEMPERATURE, METERING_TEMPERATURES, temperature)
    gas = compression_factor(fuel, temperature, absolute_pressure)
    departure = 1 - np.asarray(AIR_COMPRESSION_FACTOR)[place]
    air = 1 - np.asarray(absolute_pressure) / REFERENCE_PRESSURE * departure
    return plain(fuel_named(fuel).molar_mass / AIR_MOLAR_MASS * air / gas)


def heating_value(
    fuel,
    basis,
    combustion_temperature=288.15,
    metering_temperature=288.15,
    metering_pressure=101325.0,
):
    r"""Heat of combustion per volume of real, dry gas, H·p/(Z·R·T).

    Parameters
    ----------
    fuel : str or Fuel
        A name in `FUELS` or a `Fuel` [-].
    basis : str
        ``"gross"``, the water formed condensed, or ``"net"``, left as vapour [-].
    combustion_temperature : float or ndarray
        Temperature before and after combustion [K]. 273.15, 288.15, 288.70, 293.15 or 298.15.
    metering_temperature : float or ndarray
        Temperature to which the volume belongs [K]. 273.15, 288.15, 288.70 or 293.15.
    metering_pressure : float or ndarray
        Pressure to which the volume belongs, absolute [Pa]. 50 000 to 150 000.

    Returns
    -------
    float or ndarray
        Heating value [J/m³].

    Raises
    ------
    OutOfRange
        If a value is outside its range or no reference temperature, if `basis` is neither gross
        nor net, or if the fuel is not known.

    Notes
    -----
    Bills and rated inputs in North America are gross, at 60 °F or 15 °C. Heat at temperatures
    between those of the standard is refused, since it gives none: from 0 to 25 °C methane's moves
    by 0.26 %, the volume by 9 %. The standard's pressures are 90 to 110 kPa; see
    `compression_factor` for those beyond.

    Examples
    --------
    >>> round(heating_value("natural_gas", "gross") / 1e6, 2)
    38.67

    References
    ----------
    [1] ISO 6976:2016, clauses 6 and 8, tables 2, 3 and A.5.
    """
    _check_basis(basis)
    place = _reference(COMBUSTION_TEMPERATURE, COMBUSTION_TEMPERATURES, combustion_temperature)
    _reference(METERING_TEMPERATURE, METERING_TEMPERATURES, metering_temperature)
    gas = fuel_named(fuel)
    heat = gas.average("gross_heat")
    if basis == "net":
        heat = heat - gas.water_per_mole * np.asarray(WATER_VAPORISATION)
    density = gas_density(gas, metering_temperature, metering_pressure)
    return plain(heat[place] * density / gas.molar_mass)


def wobbe_index(
    fuel,
    basis,
    combustion_temperature=288.15,
    metering_temperature=288.15,
    metering_pressure=101325.0,
):
    r"""Heat that a gas brings through one orifice at one pressure, H/sqrt(relative density).

    Parameters
    ----------
    fuel : str or Fuel
        A name in `FUELS` or a `Fuel` [-].
    basis : str
        ``"gross"`` or ``"net"``, as in `heating_value` [-].
    combustion_temperature : float or ndarray
        Temperature before and after combustion [K]. 273.15, 288.15, 288.70, 293.15 or 298.15.
    metering_temperature : float or ndarray
        Temperature to which the volume belongs [K]. 273.15, 288.15, 288.70 or 293.15.
    metering_pressure : float or ndarray
        Pressure to which the volume belongs, absolute [Pa]. 50 000 to 150 000.

    Returns
    -------
    float or ndarray
        Wobbe index [J/m³].

    Raises
    ------
    OutOfRange
        As `heating_value`.

    Notes
    -----
    Two gases of one Wobbe index give one input through the same jet at the same pressure. It says
    nothing of the air: a premix valve that doses gas by the air's suction moves with it too.

    Examples
    --------
    >>> round(wobbe_index("natural_gas", "gross") / 1e6, 2)
    50.4

    References
    ----------
    [1] ISO 6976:2016, clause 10.
    """
    heat = heating_value(
        fuel, basis, combustion_temperature, metering_temperature, metering_pressure
    )
    return plain(heat / np.sqrt(relative_density(fuel, metering_temperature, metering_pressure)))

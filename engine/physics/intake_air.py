"""What a fixed setting of the gas valve does when the air it draws gets colder or warmer.

Derivation. In a premix boiler with a pneumatic ratio valve the air passes a venturi, and the valve
keeps the gas pressure before the gas nozzle equal to the air pressure before the venturi. Both
gases then see the same pressure difference D, and each obeys the orifice law, in moles per second

    n = k·sqrt(rho·D)/M = k·sqrt(p·D/(R·T·M))        rho = p·M/(R·T)

with k the fixed size of its opening, M its molar mass, T its temperature and p the absolute
pressure, which for both is that of the atmosphere, within a few mbar. Dividing air by gas,

    n_air/n_gas = (k_air/k_gas)·sqrt(T_gas·M_gas/(T_air·M_air))

the fan's speed drops out with D, and the pressure of the atmosphere with p: neither the load nor
the barometer nor the altitude leans such a mixture. The temperature of the air does:

    lambda is proportional to 1/sqrt(T_air), that is to the square root of the air's density.

Limits. Gas at a constant temperature: gas that comes as cold as the air takes the shift back. Dry
air: saturated air at 30 °C has fewer moles of oxygen, and lambda is 3 % lower. The valve's offset
spring, which matters at low fire, is taken as rightly set. Controls that measure the flame and move
the gas valve hold lambda; a valve with its own air-mass sensor follows the mass, and its maker says
how. At the temperature of the air *in the venturi*: a concentric vent warms it on the way.
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.atmosphere import AIR_TEMPERATURE
from engine.physics.flue_gas import (
    excess_air_ratio,
    o2_from_co2,
    o2_from_excess_air_ratio,
)
from engine.physics.fuels import AIR_OXYGEN, fuel_named
from engine.physics.limits import EDGE, Range, plain

EXCESS_AIR_RATIO = Range(
    "excess air ratio", 1.0, 10.0, "1", "was the excess air passed, 0.3 or 30 %, instead of 1.3?"
)
AIR_FACTOR = Range(
    "change of the air per gas",
    0.5,
    3.0,
    "1",
    "was a percentage passed? 1 is no change, 1.05 five per cent more air",
)


def shifted_excess_air_ratio(excess_air_ratio, set_temperature, intake_temperature):
    r"""Air ratio of the same setting with air of another temperature, lambda·sqrt(T_set/T_intake).

    Parameters
    ----------
    excess_air_ratio : float or ndarray
        Air used over air needed when the setting was read [1]. 1 to 10.
    set_temperature : float or ndarray
        Temperature of the intake air at that time [K]. 200 to 400.
    intake_temperature : float or ndarray
        Temperature of the intake air now, or on the coldest day [K]. 200 to 400.

    Returns
    -------
    float or ndarray
        Air ratio lambda [1]. Below 1 the mixture is short of air and makes carbon monoxide.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    For a pneumatic ratio valve; see the module for the derivation and what is ignored.

    Examples
    --------
    >>> round(shifted_excess_air_ratio(1.28, 293.15, 253.15), 2)
    1.38
    """
    ratio = EXCESS_AIR_RATIO.check(excess_air_ratio)
    return plain(ratio * density_factor(set_temperature, intake_temperature))


def shifted_o2(flue_o2, fuel, set_temperature, intake_temperature):
    r"""O2 that the same setting shows with air of another temperature.

    Parameters
    ----------
    flue_o2 : float or ndarray
        Oxygen in dry flue gas when the setting was read [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    set_temperature : float or ndarray
        Temperature of the intake air at that time [K]. 200 to 400.
    intake_temperature : float or ndarray
        Temperature of the intake air now, or on the coldest day [K]. 200 to 400.

    Returns
    -------
    float or ndarray
        Oxygen in dry flue gas [1].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the fuel is not known, or the mixture would be short
        of air.

    Notes
    -----
    For a pneumatic ratio valve; see the module for the derivation and what is ignored.

    Examples
    --------
    >>> round(100 * shifted_o2(0.05, "natural_gas", 293.15, 253.15), 1)
    6.2
    """
    return o2_with_air_changed(flue_o2, fuel, density_factor(set_temperature, intake_temperature))


def shifted_co2(flue_co2, fuel, set_temperature, intake_temperature):
    r"""CO2 that the same setting shows with air of another temperature.

    Parameters
    ----------
    flue_co2 : float or ndarray
        Carbon dioxide in dry flue gas when the setting was read [1]. 0.005 to the fuel's CO2max.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    set_temperature : float or ndarray
        Temperature of the intake air at that time [K]. 200 to 400.
    intake_temperature : float or ndarray
        Temperature of the intake air now, or on the coldest day [K]. 200 to 400.

    Returns
    -------
    float or ndarray
        Carbon dioxide in dry flue gas [1].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the fuel is not known, or the mixture would be short
        of air.

    Notes
    -----
    For a pneumatic ratio valve; see the module for the derivation and what is ignored. Air 40 K
    colder takes about 0.7 percentage points off 9 %: compare readings of different days with this
    in mind, and do not set the valve on the first frosty morning.

    Examples
    --------
    >>> round(100 * shifted_co2(0.09, "natural_gas", 293.15, 253.15), 1)
    8.3
    """
    return co2_with_air_changed(flue_co2, fuel, density_factor(set_temperature, intake_temperature))


def density_factor(set_temperature, intake_temperature):
    r"""Change of the air per gas between two intake temperatures, sqrt(T_set/T_intake).

    Parameters
    ----------
    set_temperature : float or ndarray
        Temperature of the intake air when the setting was read [K]. 200 to 400.
    intake_temperature : float or ndarray
        Temperature of the intake air now [K]. 200 to 400.

    Returns
    -------
    float or ndarray
        Factor on the air ratio [1]; above 1 is leaner.

    Raises
    ------
    OutOfRange
        If a temperature is outside 200 to 400 K.

    Notes
    -----
    For a pneumatic ratio valve; see the module for the derivation and what is ignored.

    Examples
    --------
    >>> round(density_factor(293.15, 253.15), 3)
    1.076
    """
    before, now = AIR_TEMPERATURE.check(set_temperature), AIR_TEMPERATURE.check(intake_temperature)
    return plain(np.sqrt(before / now))


def o2_with_air_changed(flue_o2, fuel, air_factor):
    r"""O2 once every mole of gas gets `air_factor` times the air it had.

    Parameters
    ----------
    flue_o2 : float or ndarray
        Oxygen in dry flue gas before [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    air_factor : float or ndarray
        New air ratio over old [1]. 0.5 to 3.

    Returns
    -------
    float or ndarray
        Oxygen in dry flue gas [1].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the fuel is not known, or the mixture would be short
        of air.

    Notes
    -----
    Complete combustion before and after. With lambda the new air ratio and V and A the dry flue gas
    and the air of exact combustion, O2 = 20.9 %·(lambda - 1)/(lambda - 1 + V/A).

    Examples
    --------
    >>> round(100 * o2_with_air_changed(0.05, "natural_gas", 1.05), 1)
    5.8
    """
    gas = fuel_named(fuel)
    ratio = np.asarray(excess_air_ratio(flue_o2, gas)) * AIR_FACTOR.check(air_factor)
    if not np.all(ratio >= 1 - EDGE):
        raise OutOfRange(
            f"the mixture would have {np.min(ratio):.2f} of the air it needs: short of air, it "
            "makes carbon monoxide, and O2 and CO2 no longer tell how much. Do not run it so"
        )
    return o2_from_excess_air_ratio(ratio, gas)


def co2_with_air_changed(flue_co2, fuel, air_factor):
    r"""CO2 once every mole of gas gets `air_factor` times the air it had.

    Parameters
    ----------
    flue_co2 : float or ndarray
        Carbon dioxide in dry flue gas before [1]. 0.005 to the fuel's CO2max.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    air_factor : float or ndarray
        New air ratio over old [1]. 0.5 to 3.

    Returns
    -------
    float or ndarray
        Carbon dioxide in dry flue gas [1].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the fuel is not known, or the mixture would be short
        of air.

    Notes
    -----
    Complete combustion before and after, with excess air both times.

    Examples
    --------
    >>> round(100 * co2_with_air_changed(0.09, "natural_gas", 1.05), 1)
    8.5
    """
    oxygen = np.asarray(o2_with_air_changed(o2_from_co2(flue_co2, fuel), fuel, air_factor))
    return plain(fuel_named(fuel).co2_max_dry * (1 - oxygen / AIR_OXYGEN))

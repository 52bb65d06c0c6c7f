"""Siegert's formula for the flue loss, as the law prints it and analysers show it.

It counts on *net* heat and knows nothing of condensation: below the dew point it is refused, and
`engine.physics.losses` answers instead. It is here because its figure stands on printed reports,
and a technician compares with it.
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.flue_gas import FLUE_OXYGEN, o2_from_co2
from engine.physics.fuels import fuel_named
from engine.physics.limits import plain
from engine.physics.losses import FLUE_TEMPERATURE
from engine.physics.moisture import INTAKE_TEMPERATURE, flue_dew_point

# Law text: 1. BImSchV of 26 January 2010 (Germany), annex 2 no. 3.4.1; columns "gases of the public
# supply" and "liquefied gas and its mixtures with air". A and B in per cent, per kelvin.
SIEGERT_A = {"supplied": 0.66, "liquefied": 0.63}
SIEGERT_B = {"supplied": 0.009, "liquefied": 0.008}
# The CO2 form of the same regulation before 2010, annex III no. 3.4; from memory. It follows from
# A, for A·CO2max/21 is 0.373 and 0.413.
SIEGERT_A1 = {"supplied": 0.37, "liquefied": 0.42}


def _family(fuel):
    """The column of the law text: mostly propane and heavier is liquefied gas."""
    heavy = sum(share for name, share in fuel.composition if name.startswith(("C3", "C4")))
    return "liquefied" if heavy > 0.5 else "supplied"


def _refuse_condensing(flue, o2, gas):
    dew = np.asarray(flue_dew_point(o2, gas))
    if np.any(flue < dew):
        wet, at = (each[flue < dew].flat[0] - 273.15 for each in np.broadcast_arrays(flue, dew))
        raise OutOfRange(
            f"flue gas at {wet:.0f} °C is below its dew point of {at:.0f} °C: water condenses, and "
            "Siegert's formula knows nothing of it; take the efficiency on gross heat instead"
        )


def siegert_loss_net_from_o2(flue_temperature, air_temperature, o2, fuel):
    r"""Flue loss on *net* heat by Siegert's formula, (T - t)·(A/(21 % - O2) + B).

    Parameters
    ----------
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. Its dew point to 573.15.
    air_temperature : float or ndarray
        Temperature of the combustion air at the intake [K]. 223.15 to 323.15.
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray
        Loss per *net* heat input [1]; 1 minus this is the efficiency on net basis.

    Raises
    ------
    OutOfRange
        If a value is outside its range, the fuel is not known, or the flue gas is below its dew
        point at sea level in dry air.

    Notes
    -----
    A straight line, kept because analysers and chimney sweeps use it; it knows only whether gas is
    supplied by pipe or liquefied. Against the enthalpies it is low: by 0.4 % of itself at 80 °C and
    1.6 % at 200 °C for natural gas, by 3 to 5 % for propane. The refusal takes the dew point at sea
    level: at altitude it refuses a few kelvin too early.

    Examples
    --------
    >>> round(100 * siegert_loss_net_from_o2(393.15, 293.15, 0.05, "natural_gas"), 3)
    5.025

    References
    ----------
    [1] 1. BImSchV (Germany) of 26 January 2010, annex 2 no. 3.4.1.
    """
    flue, air = FLUE_TEMPERATURE.check(flue_temperature), INTAKE_TEMPERATURE.check(air_temperature)
    oxygen = FLUE_OXYGEN.check(o2)
    gas = fuel_named(fuel)
    _refuse_condensing(flue, oxygen, gas)
    family = _family(gas)
    per_kelvin = SIEGERT_A[family] / (21 - 100 * oxygen) + SIEGERT_B[family]
    return plain((flue - air) * per_kelvin / 100)


def siegert_loss_net_from_co2(flue_temperature, air_temperature, co2, fuel):
    r"""Flue loss on *net* heat by Siegert's older formula, (T - t)·(A1/CO2 + B).

    Parameters
    ----------
    flue_temperature : float or ndarray
        Temperature of the flue gas at the boiler's outlet [K]. Its dew point to 573.15.
    air_temperature : float or ndarray
        Temperature of the combustion air at the intake [K]. 223.15 to 323.15.
    co2 : float or ndarray
        Carbon dioxide in dry flue gas, mole fraction [1]. 0.005 to the fuel's CO2max.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray
        Loss per *net* heat input [1]; 1 minus this is the efficiency on net basis.

    Raises
    ------
    OutOfRange
        If a value is outside its range, the fuel is not known, or the flue gas is below its dew
        point at sea level in dry air.

    Notes
    -----
    As `siegert_loss_net_from_o2`. The factors A1 are from memory; they follow from those of the O2
    form within 2 %. With 20 % hydrogen in the gas this form is 4 % high, for it takes the low CO2
    as excess air; take the O2 form there.

    Examples
    --------
    >>> round(100 * siegert_loss_net_from_co2(393.15, 293.15, 0.09, "natural_gas"), 2)
    5.01

    References
    ----------
    [1] 1. BImSchV (Germany) before 2010, annex III no. 3.4 (from memory).
    """
    flue, air = FLUE_TEMPERATURE.check(flue_temperature), INTAKE_TEMPERATURE.check(air_temperature)
    gas = fuel_named(fuel)
    _refuse_condensing(flue, np.asarray(o2_from_co2(co2, gas)), gas)
    family = _family(gas)
    per_kelvin = SIEGERT_A1[family] / (100 * np.asarray(co2, dtype=float)) + SIEGERT_B[family]
    return plain((flue - air) * per_kelvin / 100)

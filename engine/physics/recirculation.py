"""How much of the boiler's own flue gas comes back through its air intake, and what it hides.

The first two functions return the share s of *wet* flue gas, by volume, in the gas that the intake
draws, from dry readings at the intake and in the flue, taken in steady state.

Derivation. Per mole of fuel let the intake draw A mol of fresh dry air and R mol of recirculated
wet flue gas; s = R/(A + R).

1. *The loop closes on itself.* What leaves for good is flue gas of the same composition as what
   comes back. Around the whole boiler, then, A and the fuel go in, and flue gas goes out: its
   composition is that of burning the fuel with A mol of fresh air, however large R is. So the flue
   reading lies on the fuel's O2/CO2 line, and the fuel alone gives its water share w (water over
   wet flue gas):

       V = V0·a/(a - O2_flue) = V0·CO2max/CO2_flue       dry flue gas per mole of fuel
       w = H/(H + V)                                     H = water formed per mole of fuel

   with V0 the dry flue gas of exact combustion and a = 20.9 %, the oxygen in fresh air. The flue
   gas *was* made with contaminated air, and this is accounted for: recirculation lowers A, the
   flue's O2 falls, and that lower O2 is what the analyser reads.

2. *Dry share.* The analyser dries its sample, so at the intake it sees A mol of air and R·(1 - w)
   mol of dry flue gas. With d the dry share of flue gas in the intake:

       O2_intake  = (1 - d)·a + d·O2_flue    =>  d = (a - O2_intake)/(a - O2_flue)
       CO2_intake = (1 - d)·c + d·CO2_flue   =>  d = (CO2_intake - c)/(CO2_flue - c)

   with c the CO2 in the fresh air.

3. *Back to wet.* R·(1 - w)/A = d/(1 - d), so R/A = d/((1 - d)·(1 - w)) and

       s = R/(A + R) = d/(d + (1 - d)·(1 - w))

The others return what the valve is really set to: the readings once the vent is mended and nothing
comes back.

4. *The valve counts volume, not oxygen.* A pneumatic ratio valve gives gas after the volume drawn
   through the venturi, A + R mol of mixture per mole of fuel (derived in `intake_air`):

       A + R = K/sqrt(T·M)      T, M temperature and molar mass of the mixture; K the setting

   Only (1 - s) of it is fresh air, so the flue reads

       lambda_read = (1 - s)·K/(sqrt(T·M)·A0)            A0 = air of exact combustion

   Mended, the same K draws fresh air alone, of temperature T0 and molar mass M0:

       lambda_mended = K/(sqrt(T0·M0)·A0) = lambda_read/(1 - s)·sqrt(T/T0)·sqrt(M/M0)

   The fan's speed, the input and the pressure of the atmosphere have dropped out. Flue gas warms
   the mixture, by 2 to 3 K at s = 5 %, and lambda ends 0.5 % higher for it: give both temperatures
   where they were measured. M is *left out*: flue gas is lighter than air, by 4 % for natural gas,
   and lambda is 0.1 % too high at s = 5 %, less than a digit of the analyser.

5. *Why not to adjust.* Flue gas in the intake makes the mixture richer, and a valve leaned to its
   target with s still there is leaner than the target by 1/(1 - s) once the vent is mended. The
   share stays while the valve is turned: wind, terminal and leak set it, not the mixture.

Limits. The water is counted as it leaves the burner. A condensing boiler drops part of it before
the terminal: by volume of the drier plume the share is smaller, by an eighteenth of itself where
the plume leaves at 50 °C, by an eighth at 30 °C. Humidity of the outdoor air is left out, and so
is the air's own CO2 in step 1. Both readings must be steady: while recirculation is still building
up, step 1 does not hold. Step 4 is not for controls that measure the flame and move the gas valve:
they hold lambda, and the flue reads the same before and after the repair.
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.flue_gas import FLUE_OXYGEN, excess_air_ratio, o2_from_co2, water_share
from engine.physics.fuels import AIR_OXYGEN
from engine.physics.intake_air import co2_with_air_changed, density_factor, o2_with_air_changed
from engine.physics.limits import Range, plain

# Above 20.9 % only by the error of the instrument, commonly 0.2 percentage points.
INTAKE_OXYGEN = Range(
    "O2 at the intake",
    0.05,
    0.215,
    "1",
    "was the analyser zeroed in fresh air, and the reading in per cent?",
)
INTAKE_CARBON_DIOXIDE = Range(
    "CO2 at the intake", 0.0, 0.12, "1", "was a reading in per cent or ppm passed unconverted?"
)
ROOM_CARBON_DIOXIDE = Range(
    "CO2 of the fresh air", 0.0, 0.01, "1", "outdoor air has about 0.0004 (400 ppm)"
)

# Down to -5 % only by the error of the instrument.
RECIRCULATED_SHARE = Range(
    "recirculated share", -0.05, 0.5, "1", "was a percentage passed without dividing by 100?"
)


def recirculated_share_from_o2(intake_o2, flue_o2, fuel):
    r"""Share of flue gas in the intake, from oxygen; see the module for the derivation.

    Parameters
    ----------
    intake_o2 : float or ndarray
        Oxygen at the intake, dry, mole fraction [1]. 0.05 to 0.215, and above `flue_o2`.
    flue_o2 : float or ndarray
        Oxygen in dry flue gas at the same firing rate, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].

    Returns
    -------
    float or ndarray
        Volume of wet flue gas per volume of intake gas [1]. Slightly negative when the intake reads
        above 20.9 %: within the instrument's error that means none.

    Raises
    ------
    OutOfRange
        If a reading is outside its range, the intake does not read above the flue, or the fuel is
        not known.

    Notes
    -----
    One digit of the analyser (0.1 % O2) is 0.7 % recirculation: zero it outdoors just before.
    Says nothing about where the gas came back: outside, through a joint, or inside the casing.

    Examples
    --------
    >>> round(100 * recirculated_share_from_o2(0.206, 0.05, "natural_gas"), 1)
    2.2
    """
    at_intake, in_flue = INTAKE_OXYGEN.check(intake_o2), FLUE_OXYGEN.check(flue_o2)
    if not np.all(at_intake > in_flue):
        raise OutOfRange(
            "O2 at the intake must be above O2 in the flue, "
            f"got {intake_o2!r} and {flue_o2!r}; were the two readings swapped?"
        )
    dry_share = (AIR_OXYGEN - at_intake) / (AIR_OXYGEN - in_flue)
    return plain(_wet_share(dry_share, in_flue, fuel))


def recirculated_share_from_co2(intake_co2, flue_co2, fuel, room_co2=0.0004):
    r"""Share of flue gas in the intake, from carbon dioxide; see the module for the derivation.

    Parameters
    ----------
    intake_co2 : float or ndarray
        Carbon dioxide at the intake, dry, mole fraction [1]. 0 to 0.12, and below `flue_co2`.
    flue_co2 : float or ndarray
        Carbon dioxide in dry flue gas at the same firing rate, mole fraction [1]. 0.005 to the
        fuel's CO2max.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].
    room_co2 : float
        Carbon dioxide of the fresh air, mole fraction [1]. 0 to 0.01. Measure it where people or
        other appliances share the air.

    Returns
    -------
    float or ndarray
        Volume of wet flue gas per volume of intake gas [1]. Slightly negative when the intake reads
        below `room_co2`: within the instrument's error that means none.

    Raises
    ------
    OutOfRange
        If a reading is outside its range, the intake does not read below the flue, or the fuel is
        not known.

    Notes
    -----
    Needs an analyser that measures CO2. One that computes CO2 from O2 and the fuel's CO2max gives
    the result of `recirculated_share_from_o2` again, not a second opinion.

    Examples
    --------
    >>> round(100 * recirculated_share_from_co2(0.002, 0.09, "natural_gas"), 1)
    2.1
    """
    at_intake = INTAKE_CARBON_DIOXIDE.check(intake_co2)
    fresh = ROOM_CARBON_DIOXIDE.check(room_co2)
    oxygen_in_flue = o2_from_co2(flue_co2, fuel)  # refuses a flue reading outside its range
    in_flue = np.asarray(flue_co2, dtype=float)
    if not (np.all(at_intake < in_flue) and np.all(fresh < in_flue)):
        raise OutOfRange(
            "CO2 at the intake and in fresh air must be below CO2 in the flue, "
            f"got {intake_co2!r}, {room_co2!r} and {flue_co2!r}; were the readings swapped?"
        )
    dry_share = (at_intake - fresh) / (in_flue - fresh)
    return plain(_wet_share(dry_share, oxygen_in_flue, fuel))


def excess_air_ratio_once_mended(
    flue_o2, recirculated_share, fuel, intake_temperature=288.15, fresh_temperature=288.15
):
    r"""Air ratio the valve is really set to, lambda/(1 - s)·sqrt(T_intake/T_fresh).

    Parameters
    ----------
    flue_o2 : float or ndarray
        Oxygen in dry flue gas while flue gas comes back [1]. 0 to 0.20.
    recirculated_share : float or ndarray
        Wet flue gas in the intake gas, by volume, at the same time [1]. -0.05 to 0.5.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    intake_temperature, fresh_temperature : float or ndarray
        Temperature in the intake while flue gas comes back, and of the fresh air it will draw once
        mended [K]. 200 to 400; the same twice leaves temperature out.

    Returns
    -------
    float or ndarray
        Air ratio lambda with nothing coming back [1].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the fuel is not known.

    Notes
    -----
    For a pneumatic ratio valve; see the module for the derivation. A flue that reads no oxygen
    hides how rich it is: then the true setting is at or below this figure.

    Examples
    --------
    >>> round(excess_air_ratio_once_mended(0.04, 0.05, "natural_gas"), 2)   # read as 1.21
    1.28
    """
    share = RECIRCULATED_SHARE.check(recirculated_share)
    warmed = np.asarray(density_factor(intake_temperature, fresh_temperature))
    return plain(np.asarray(excess_air_ratio(flue_o2, fuel)) / (1 - share) * warmed)


def o2_once_mended(
    flue_o2, recirculated_share, fuel, intake_temperature=288.15, fresh_temperature=288.15
):
    r"""O2 the flue will show once nothing comes back, the valve untouched.

    Parameters
    ----------
    flue_o2 : float or ndarray
        Oxygen in dry flue gas while flue gas comes back [1]. 0 to 0.20.
    recirculated_share : float or ndarray
        Wet flue gas in the intake gas, by volume, at the same time [1]. -0.05 to 0.5.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    intake_temperature, fresh_temperature : float or ndarray
        Temperature in the intake while flue gas comes back, and of the fresh air it will draw once
        mended [K]. 200 to 400; the same twice leaves temperature out.

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
    For a pneumatic ratio valve; see the module for the derivation.

    Examples
    --------
    >>> round(100 * o2_once_mended(0.04, 0.05, "natural_gas"), 1)
    4.9
    """
    share = RECIRCULATED_SHARE.check(recirculated_share)
    warmed = np.asarray(density_factor(intake_temperature, fresh_temperature))
    return o2_with_air_changed(flue_o2, fuel, warmed / (1 - share))


def co2_once_mended(
    flue_co2, recirculated_share, fuel, intake_temperature=288.15, fresh_temperature=288.15
):
    r"""CO2 the flue will show once nothing comes back, the valve untouched.

    Parameters
    ----------
    flue_co2 : float or ndarray
        Carbon dioxide in dry flue gas while flue gas comes back [1]. 0.005 to the fuel's CO2max.
    recirculated_share : float or ndarray
        Wet flue gas in the intake gas, by volume, at the same time [1]. -0.05 to 0.5.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    intake_temperature, fresh_temperature : float or ndarray
        Temperature in the intake while flue gas comes back, and of the fresh air it will draw once
        mended [K]. 200 to 400; the same twice leaves temperature out.

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
    For a pneumatic ratio valve; see the module for the derivation.

    Examples
    --------
    >>> round(100 * co2_once_mended(0.096, 0.05, "natural_gas"), 1)
    9.1
    """
    share = RECIRCULATED_SHARE.check(recirculated_share)
    warmed = np.asarray(density_factor(intake_temperature, fresh_temperature))
    return co2_with_air_changed(flue_co2, fuel, warmed / (1 - share))


def set_o2_once_mended(set_o2, intake_o2, flue_o2, fuel):
    r"""O2 the flue will show once mended if the valve is set to `set_o2` now.

    Parameters
    ----------
    set_o2 : float or ndarray
        Oxygen in dry flue gas to which somebody would set the valve, flue gas still coming back
        [1]. 0 to 0.20. With the present `flue_o2`: what the valve as it stands will show.
    intake_o2 : float or ndarray
        Oxygen read at the intake now, dry [1]. 0.05 to 0.215, and above `flue_o2`.
    flue_o2 : float or ndarray
        Oxygen read in dry flue gas now [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].

    Returns
    -------
    float or ndarray
        Oxygen in dry flue gas [1]: above `set_o2`, which is why the vent is mended first.

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the intake does not read above the flue, the fuel is
        not known, or the mixture would be short of air.

    Notes
    -----
    For a pneumatic ratio valve, temperatures left out; see the module for the derivation.

    Examples
    --------
    >>> round(100 * set_o2_once_mended(0.05, 0.2, 0.04, "natural_gas"), 1)   # 6 % comes back
    6.1
    """
    return o2_once_mended(set_o2, recirculated_share_from_o2(intake_o2, flue_o2, fuel), fuel)


def set_co2_once_mended(set_co2, intake_co2, flue_co2, fuel, room_co2=0.0004):
    r"""CO2 the flue will show once mended if the valve is set to `set_co2` now.

    Parameters
    ----------
    set_co2 : float or ndarray
        Carbon dioxide in dry flue gas to which somebody would set the valve, flue gas still coming
        back [1]. 0.005 to CO2max. With the present `flue_co2`: what the valve will show as it is.
    intake_co2 : float or ndarray
        Carbon dioxide read at the intake now, dry [1]. 0 to 0.12, and below `flue_co2`.
    flue_co2 : float or ndarray
        Carbon dioxide read in dry flue gas now [1]. 0.005 to the fuel's CO2max.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    room_co2 : float or ndarray
        Carbon dioxide of the fresh air [1]. 0 to 0.01.

    Returns
    -------
    float or ndarray
        Carbon dioxide in dry flue gas [1]: below `set_co2`, which is why the vent is mended first.

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the intake does not read below the flue, the fuel is
        not known, or the mixture would be short of air.

    Notes
    -----
    For a pneumatic ratio valve, temperatures left out; see the module for the derivation.

    Examples
    --------
    >>> round(100 * set_co2_once_mended(0.09, 0.0055, 0.099, "natural_gas"), 1)   # 6 % comes back
    8.4
    """
    share = recirculated_share_from_co2(intake_co2, flue_co2, fuel, room_co2)
    return co2_once_mended(set_co2, share, fuel)


def _wet_share(dry_share, flue_o2, fuel):
    """Step 3 of the derivation, with the water share of step 1."""
    dry_part = 1 - np.asarray(water_share(flue_o2, fuel))
    return dry_share / (dry_share + (1 - dry_share) * dry_part)

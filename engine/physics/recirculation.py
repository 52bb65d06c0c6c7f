"""How much of the boiler's own flue gas comes back through its air intake.

Both functions return the share s of *wet* flue gas, by volume, in the gas that the intake draws,
from dry readings at the intake and in the flue, taken in steady state.

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

Limits. The water is counted as it leaves the burner. A condensing boiler drops part of it before
the terminal: by volume of the drier plume the share is smaller, by an eighteenth of itself where
the plume leaves at 50 °C, by an eighth at 30 °C. Humidity of the outdoor air is left out, and so
is the air's own CO2 in step 1. Both readings must be steady: while recirculation is still building
up, step 1 does not hold.
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.flue_gas import FLUE_OXYGEN, o2_from_co2
from engine.physics.fuels import AIR_OXYGEN, fuel_named
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


def _wet_share(dry_share, flue_o2, fuel):
    """Step 3 of the derivation, with the water share of step 1."""
    gas = fuel_named(fuel)
    dry_flue_gas = gas.stoichiometric_dry_flue_gas * AIR_OXYGEN / (AIR_OXYGEN - flue_o2)
    water_share = gas.water_per_mole / (gas.water_per_mole + dry_flue_gas)
    return dry_share / (dry_share + (1 - dry_share) * (1 - water_share))

"""The vent and the intake pipe: what a run costs the fan, and what a warm column gives it.

The maker's greatest equivalent length governs; these figures tell whether a reading of pressure
fits the run that was built.
"""

from types import MappingProxyType

import numpy as np

from engine.errors import OutOfRange, nearest
from engine.physics.atmosphere import GRAVITY, air_density
from engine.physics.limits import Range, plain
from engine.physics.vent_gas import flue_gas_density

# Equivalent lengths in diameters, L/D. Crane Technical Paper 410 (1976) page A-29, as reprinted in
# Ludwig, Applied Process Design, volume 1, 3rd edition, page 76; the bend of 1.5 diameters from
# eng-tips.com thread 173164.
FITTINGS = MappingProxyType(
    {
        "elbow_90": 30.0,
        "elbow_45": 16.0,
        "bend_90_radius_1_diameter": 20.0,
        "bend_90_radius_1.5_diameters": 14.0,
        "bend_90_radius_2_diameters": 12.0,
        "mitre_90": 60.0,
        "mitre_45": 15.0,
        "tee_through_run": 20.0,
        "tee_through_branch": 60.0,
    }
)

# Loss coefficients on the velocity head, same source: the pipe's two ends.
ENTRANCE_FLUSH, ENTRANCE_PROJECTING, EXIT = 0.5, 0.78, 1.0

# Roughness in m, Idelchik, Handbook of Hydraulic Resistance (2007): smooth drawn tube, at its lower
# end, for plastic (common practice), and new galvanized sheet steel.
ROUGHNESS = MappingProxyType({"plastic": 1.5e-6, "sheet_steel": 1.5e-4})

LAMINAR_UP_TO = 2300.0  # Reynolds number below which pipe flow is laminar, textbook value

REYNOLDS = Range(
    "Reynolds number", 20.0, 1e7, "1", "were flow, diameter and viscosity in SI units?"
)
RELATIVE_ROUGHNESS = Range(
    "roughness over diameter", 0.0, 0.05, "1", "was the roughness in mm and the diameter in m?"
)
VOLUME_FLOW = Range(
    "volume flow", 1e-4, 5.0, "m³/s", "was a flow in m³/h, L/s or cfm passed unconverted?"
)
DIAMETER = Range(
    "inside diameter", 0.02, 2.0, "m", "was a diameter in mm or inches passed unconverted?"
)
LENGTH = Range("length", 0.0, 500.0, "m", "was a length in feet or mm passed unconverted?")
LOSS_COEFFICIENT = Range(
    "loss coefficient", 0.0, 100.0, "1", "was a pressure or an equivalent length passed?"
)
GAS_DENSITY = Range(
    "gas density", 0.3, 2.0, "kg/m³", "was it relative to air, or in g/L at another temperature?"
)
GAS_VISCOSITY = Range(
    "viscosity", 5e-6, 5e-5, "Pa·s", "was it kinematic, or in µPa·s? Air has 1.8e-5 Pa·s"
)
ROUGHNESS_RANGE = Range("roughness", 0.0, 0.005, "m", "was a roughness in mm passed?")
FITTING_COUNT = Range("number of fittings", 0.0, 100.0, "1", "was a length passed?")
HEIGHT = Range("height", -20.0, 100.0, "m", "was a height in feet or mm passed unconverted?")


def friction_factor(reynolds, relative_roughness):
    r"""Darcy's friction factor of a round pipe.

    64/Re in laminar flow, else Colebrook and White,
    1/sqrt(f) = -2·log10(e/3.7 + 2.51/(Re·sqrt(f))).

    Parameters
    ----------
    reynolds : float or ndarray
        Reynolds number, density·velocity·diameter/viscosity [1]. 20 to 1e7.
    relative_roughness : float or ndarray
        Roughness over diameter, e [1]. 0 to 0.05.

    Returns
    -------
    float or ndarray
        Friction factor [1]; four times Fanning's.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Laminar up to 2300. From there to about 4000 flow is unsettled; the turbulent figure is taken,
    the larger of the two.

    Examples
    --------
    >>> round(friction_factor(1e5, 0.0), 4)
    0.018

    References
    ----------
    [1] Moody, Friction Factors for Pipe Flow, Transactions of the ASME 66 (1944).
    """
    number = REYNOLDS.check(reynolds)
    rough = RELATIVE_ROUGHNESS.check(relative_roughness)
    turbulent = np.maximum(number, LAMINAR_UP_TO)  # below it the result is not used
    root = -1.8 * np.log10((rough / 3.7) ** 1.11 + 6.9 / turbulent)  # Haaland, for 1/sqrt(f)
    for _ in range(4):  # Newton on Colebrook; two steps would do
        inside = rough / 3.7 + 2.51 * root / turbulent
        slope = 1 + 2 * 2.51 / (np.log(10) * turbulent * inside)
        root = root - (root + 2 * np.log10(inside)) / slope
    return plain(np.where(number <= LAMINAR_UP_TO, 64 / number, root**-2))


def equivalent_length(length, diameter, fittings):
    r"""Straight pipe that costs as much as the run with its fittings.

    Parameters
    ----------
    length : float or ndarray
        Straight pipe [m]. 0 to 500.
    diameter : float or ndarray
        Inside diameter [m]. 0.02 to 2.
    fittings : Mapping
        How many there are of each fitting, by its name in `FITTINGS` [-].

    Returns
    -------
    float or ndarray
        Equivalent length [m], without the two ends of the pipe.

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or a fitting is not known.

    Notes
    -----
    General figures for pipe fittings. Makers of vents print their own, often 1.5 m (5 ft) for an
    elbow of 90 degrees whatever its size: the maker's figures go with the maker's greatest length.

    Examples
    --------
    >>> round(equivalent_length(10.0, 0.08, {"elbow_90": 3, "elbow_45": 2}), 2)
    19.76
    """
    diameters = 0.0
    for name, count in fittings.items():
        if name not in FITTINGS:
            close = nearest(name, FITTINGS)
            raise OutOfRange(
                f"fitting {name!r} is not known; write "
                + (repr(close) if close else " or ".join(map(repr, FITTINGS)))
            )
        diameters += FITTING_COUNT.check(count) * FITTINGS[name]
    return plain(LENGTH.check(length) + diameters * DIAMETER.check(diameter))


def vent_pressure_drop(
    volume_flow,
    diameter,
    length,
    loss_coefficient,
    gas_density,
    gas_viscosity,
    roughness=ROUGHNESS["plastic"],
):
    r"""Pressure that a run takes, (f·L/D + K)·density·velocity²/2.

    Parameters
    ----------
    volume_flow : float or ndarray
        Flow in the pipe [m³/s]. 0.0001 to 5.
    diameter : float or ndarray
        Inside diameter [m]. 0.02 to 2.
    length : float or ndarray
        Length with fittings, see `equivalent_length` [m]. 0 to 500.
    loss_coefficient : float or ndarray
        Sum of the losses of entrance, terminal and exit on the velocity head [1]. 0 to 100; a plain
        pipe has `ENTRANCE_FLUSH` + `EXIT`, 1.5.
    gas_density : float or ndarray
        Density of flue gas or air in it [kg/m³]. 0.3 to 2.
    gas_viscosity : float or ndarray
        Dynamic viscosity [Pa·s]. 5e-6 to 5e-5.
    roughness : float or ndarray
        Roughness of the wall [m]. 0 to 0.005; see `ROUGHNESS`.

    Returns
    -------
    float or ndarray
        Pressure drop [Pa].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Round pipe, full and clear, one temperature over its length. With fittings as equivalent lengths
    expect a third more or less (common practice, no source). A reading far above it tells of water
    standing in a sag, ice, a nest or a pipe too narrow. It goes nearly with the square of the flow.

    Examples
    --------
    >>> round(vent_pressure_drop(0.0111, 0.08, 15.0, 1.5, 1.06, 1.8e-5))
    19

    References
    ----------
    [1] Crane Technical Paper 410 (1976), equations 2-4 and 2-5.
    """
    flow, bore = VOLUME_FLOW.check(volume_flow), DIAMETER.check(diameter)
    density, rough = GAS_DENSITY.check(gas_density), ROUGHNESS_RANGE.check(roughness)
    velocity = flow / (np.pi / 4 * bore**2)
    reynolds = density * velocity * bore / GAS_VISCOSITY.check(gas_viscosity)
    friction = np.asarray(friction_factor(reynolds, rough / bore)) * LENGTH.check(length) / bore
    head = density * velocity**2 / 2
    return plain((friction + LOSS_COEFFICIENT.check(loss_coefficient)) * head)


def stack_draught(
    height, flue_temperature, outdoor_temperature, o2, fuel, absolute_pressure=101_325.0
):
    r"""Draught of a warm column, g·h·(density outdoors - density in the vent).

    Parameters
    ----------
    height : float or ndarray
        Terminal above the boiler's outlet [m]. -20 to 100; negative where the vent runs down.
    flue_temperature : float or ndarray
        Mean temperature of the flue gas over the height [K]. 273.15 to 573.15.
    outdoor_temperature : float or ndarray
        Temperature of the air outdoors [K]. 200 to 400.
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        A name in `fuels.FUELS`, or a `Fuel` [-].
    absolute_pressure : float or ndarray
        Absolute pressure of the place [Pa]. 50 000 to 110 000.

    Returns
    -------
    float or ndarray
        Pressure that helps the fan [Pa]; negative where it works against the fan.

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the fuel is not known.

    Notes
    -----
    Friction is apart, in `vent_pressure_drop`. Dry air outdoors; no wind, no suction or pressure of
    the room. In a concentric vent the intake column is warm too, and the draught smaller.

    Examples
    --------
    >>> round(stack_draught(8.0, 323.15, 263.15, 0.05, "natural_gas"), 1)
    21.4
    """
    outdoors = np.asarray(air_density(outdoor_temperature, absolute_pressure))
    inside = np.asarray(flue_gas_density(flue_temperature, o2, fuel, absolute_pressure))
    return plain(GRAVITY * HEIGHT.check(height) * (outdoors - inside))

"""Gas through a small round hole: what an injector or orifice passes, and what hole passes it."""

import numpy as np

from engine.physics.limits import Range, plain

ORIFICE_DIAMETER = Range(
    "orifice diameter", 5e-5, 0.1, "m", "was it in mm or inches passed without converting it?"
)
PRESSURE_DROP = Range(
    "pressure drop across the orifice",
    1.0,
    5000.0,
    "Pa",
    "was it in kPa, mbar or inches of water? Above 5 kPa the gas expands too much for this formula",
)
GAS_DENSITY = Range(
    "gas density", 0.05, 10.0, "kg/m³", "was it a density relative to air? Air has 1.225 kg/m³"
)
DISCHARGE_COEFFICIENT = Range(
    "discharge coefficient", 0.4, 1.0, "1", "was a percentage passed without dividing by 100?"
)
ORIFICE_FLOW = Range(
    "gas flow", 1e-8, 1.0, "m³/s", "was it in m³/h, L/min or ft³/h passed without converting it?"
)

# Drilled injector with a short straight bore, as the printed tables of North America take it
# ("orifice factor 0.90", and NFPA 54 annex E). Sharp-edged plates have about 0.6.
INJECTOR_COEFFICIENT = 0.90


def orifice_flow(diameter, pressure_drop, density, discharge_coefficient=INJECTOR_COEFFICIENT):
    r"""Gas that an orifice passes, Q = C·A·√(2·Δp/ρ).

    Parameters
    ----------
    diameter : float or ndarray
        Diameter of the hole [m]. 0.00005 to 0.1.
    pressure_drop : float or ndarray
        Gauge pressure before the hole less that behind it [Pa]. 1 to 5000. Into a burner at
        atmospheric pressure it is the manifold pressure.
    density : float or ndarray
        Density of the gas before the hole, at its temperature and absolute pressure [kg/m³]. 0.05
        to 10.
    discharge_coefficient : float or ndarray
        Flow over that of an ideal nozzle of this diameter [1]. 0.4 to 1.

    Returns
    -------
    float or ndarray
        Flow [m³/s] at the conditions of `density`; `gas_meter.meter_factor` turns it into another
        state's.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Takes the gas as incompressible and the pipe as wide: it passes up to 0.3 % too much at 870 Pa
    and 1.6 % at 5 kPa (ISO 5167-2, expansibility). The printed tables come from 1658.5 ft³/h per
    square inch, √(inch of water) and √(1/relative density). With dry air of 60 °F this formula
    gives 0.2 % less; with the saturated air of the old standard cubic foot, 60 °F and 30 inches of
    mercury, the same within 0.04 %.

    Examples
    --------
    #66 drill, 3.5 inches of water, relative density 0.60: printed 3.083 ft³/h.

    >>> round(orifice_flow(0.0330 * 0.0254, 871.8, 0.60 * 1.2227) / 7.8658e-6, 2)
    3.08
    """
    area = np.pi / 4 * ORIFICE_DIAMETER.check(diameter) ** 2
    speed = np.sqrt(2 * PRESSURE_DROP.check(pressure_drop) / GAS_DENSITY.check(density))
    return plain(DISCHARGE_COEFFICIENT.check(discharge_coefficient) * area * speed)


def orifice_diameter(flow, pressure_drop, density, discharge_coefficient=INJECTOR_COEFFICIENT):
    r"""Diameter of the orifice that passes a flow: `orifice_flow` solved for the hole.

    Parameters
    ----------
    flow : float or ndarray
        Gas at the conditions of `density` [m³/s]. 1e-8 to 1.
    pressure_drop : float or ndarray
        Gauge pressure before the hole less that behind it [Pa]. 1 to 5000.
    density : float or ndarray
        Density of the gas before the hole, at its temperature and absolute pressure [kg/m³]. 0.05
        to 10.
    discharge_coefficient : float or ndarray
        Flow over that of an ideal nozzle of this diameter [1]. 0.4 to 1.

    Returns
    -------
    float or ndarray
        Diameter [m].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    For comparing the hole found with the hole wanted. A hole is never drilled by this figure: the
    maker's part for the gas and the altitude goes in.

    Examples
    --------
    >>> round(1000 * orifice_diameter(2.425e-5, 871.8, 0.7336), 3)   # #66 drill, 0.838 mm
    0.839
    """
    drop = PRESSURE_DROP.check(pressure_drop)
    speed = np.sqrt(2 * drop / GAS_DENSITY.check(density))
    coefficient = DISCHARGE_COEFFICIENT.check(discharge_coefficient)
    area = ORIFICE_FLOW.check(flow) / (coefficient * speed)
    return plain(np.sqrt(4 * area / np.pi))

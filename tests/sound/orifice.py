"""Arguments that every calculation of an orifice must take."""

from engine.physics import orifice as of

_GAS = {"pressure_drop": 870.0, "density": 0.74, "discharge_coefficient": 0.9}

SOUND = {
    of.orifice_flow: {"diameter": 8.4e-4, **_GAS},
    of.orifice_diameter: {"flow": 2.4e-5, **_GAS},
}

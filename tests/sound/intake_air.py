"""Arguments that every calculation of the intake air must take."""

from engine.physics import intake_air as of

_TEMPERATURES = {"set_temperature": 293.0, "intake_temperature": 263.0}

SOUND = {
    of.shifted_excess_air_ratio: {"excess_air_ratio": 1.3, **_TEMPERATURES},
    of.shifted_o2: {"flue_o2": 0.05, "fuel": "natural_gas", **_TEMPERATURES},
    of.shifted_co2: {"flue_co2": 0.09, "fuel": "natural_gas", **_TEMPERATURES},
    of.density_factor: _TEMPERATURES,
    of.o2_with_air_changed: {"flue_o2": 0.05, "fuel": "natural_gas", "air_factor": 1.1},
    of.co2_with_air_changed: {"flue_co2": 0.09, "fuel": "natural_gas", "air_factor": 1.1},
}

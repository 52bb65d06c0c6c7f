"""Arguments that every calculation of what flows in the vent must take."""

from engine.physics import vent_gas as of

_GAS = {"o2": 0.05, "fuel": "natural_gas", "absolute_pressure": 95e3, "air_humidity": 0.01}

SOUND = {
    of.flue_gas_flow: {"gross_heat_input": 30e3, "flue_temperature": 325.0, **_GAS},
    of.intake_air_flow: {"gross_heat_input": 30e3, "intake_temperature": 285.0, **_GAS},
    of.flue_gas_density: {"flue_temperature": 325.0, **_GAS},
    of.flue_gas_viscosity: {"flue_temperature": 325.0},
    of.air_viscosity: {"temperature": 285.0},
}

"""Arguments that every flue-gas calculation must take."""

from engine.physics import flue_gas as of

_HUMID = {"o2": 0.05, "fuel": "natural_gas", "air_humidity": 0.01}

SOUND = {
    of.co2_from_o2: {"o2": 0.05, "fuel": "natural_gas"},
    of.o2_from_co2: {"co2": 0.09, "fuel": "natural_gas"},
    of.excess_air_ratio: {"o2": 0.05, "fuel": "natural_gas"},
    of.dry_flue_gas: {"o2": 0.05, "fuel": "natural_gas"},
    of.wet_flue_gas: _HUMID,
    of.water_share: _HUMID,
    of.o2_from_excess_air_ratio: {"excess_air_ratio": 1.3, "fuel": "natural_gas"},
    of.fuel_line_gap: {"o2": 0.05, "co2": 0.09, "fuel": "natural_gas"},
    of.temperature_difference: {"hot": 330.0, "cold": 320.0},
}

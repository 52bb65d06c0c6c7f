"""Arguments that every calculation of carbon monoxide must take."""

from engine.physics import carbon_monoxide as of

SOUND = {
    of.co_air_free: {"co": 50e-6, "o2": 0.05},
    of.co_air_free_by_co2: {"co": 50e-6, "co2": 0.09, "fuel": "natural_gas"},
    of.co_to_co2_ratio: {"co": 50e-6, "co2": 0.09},
}

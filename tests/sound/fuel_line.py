"""Arguments that every calculation about the fuel's line must take."""

from engine.physics import fuel_line as of

SOUND = {
    of.fuel_line_verdict: {
        "o2": 0.05,
        "co2": 0.09,
        "fuel": "natural_gas",
        "o2_deviation": 0.001,
        "co2_deviation": 0.0015,
    },
    of.supply_deviation_co2: {"co2": 0.09},
    of.supply_deviation_o2: {"o2": 0.05},
    of.false_air_share: {"expected_co2": 0.09, "read_co2": 0.08},
    of.o2_shown: {"o2": 0.05, "fresh_air_reading": 0.2, "zero_reading": 0.001},
}

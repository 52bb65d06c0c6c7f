"""Arguments that every check of a temperature sensor must take."""

from engine.physics import sensors as of

SOUND = {
    of.sensor_temperature: {"resistance": 2500.0, "curve": "ntc_10k_3977"},
    of.sensor_resistance: {"temperature": 333.0, "curve": "ntc_10k_3977"},
    of.sensor_mismatch: {
        "resistance": 2500.0,
        "thermometer_temperature": 333.0,
        "curve": "ntc_10k_3977",
    },
    of.curves_by_fit: {"resistance": 2500.0, "temperature": 333.0},
}

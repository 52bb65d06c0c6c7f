"""Arguments that every calculation of moisture must take."""

from engine.physics import moisture as of

SOUND = {
    of.saturation_pressure: {"temperature": 320.0},
    of.saturation_temperature: {"absolute_pressure": 12e3},
    of.air_humidity: {
        "temperature": 293.0,
        "relative_humidity": 0.5,
        "absolute_pressure": 101325.0,
    },
    of.flue_dew_point: {
        "o2": 0.05,
        "fuel": "natural_gas",
        "absolute_pressure": 101325.0,
        "air_humidity": 0.01,
    },
}

"""Arguments that every calculation of the atmosphere must take."""

from engine.physics import atmosphere as of

SOUND = {
    of.standard_temperature: {"altitude": 1500.0},
    of.standard_pressure: {"altitude": 1500.0},
    of.standard_density: {"altitude": 1500.0},
    of.air_density: {"temperature": 290.0, "absolute_pressure": 9e4, "air_humidity": 0.01},
}

"""Arguments that every calculation of the propane tank must take."""

from engine.physics import propane_tank as of

_TANK = {"diameter": 0.965, "length": 2.997, "liquid": 0.3}

SOUND = {
    of.vapour_pressure: {"temperature": 263.15},
    of.tank_gauge_pressure: {"temperature": 263.15, "ambient_pressure": 95_000.0},
    of.heat_of_evaporation: {"temperature": 263.15},
    of.wetted_area: _TANK,
    of.vapour_capacity: {**_TANK, "air_temperature": 255.0},
    of.still_air_capacity: {
        **_TANK,
        "air_temperature": 263.15,
        "liquid_temperature": 250.0,
        "heat_transfer": 7.0,
    },
}

"""Arguments that every calculation of condensate must take."""

from engine.physics import condensate as of

_FLUE = {
    "gross_heat_input": 3e4,
    "flue_temperature": 315.0,
    "o2": 0.05,
    "fuel": "natural_gas",
    "absolute_pressure": 101325.0,
    "air_humidity": 0.01,
}

SOUND = {
    of.condensate_rate: _FLUE,
    of.greatest_condensate_rate: {"gross_heat_input": 3e4, "fuel": "natural_gas"},
    of.caught_share: {**_FLUE, "caught_rate": 5e-7},
}

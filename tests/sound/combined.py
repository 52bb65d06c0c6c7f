"""Arguments that every combined calculation must take."""

from engine.physics import combined as of

_METER = {
    "volume": 0.0283,
    "duration": 36.0,
    "heating_value": 38.2e6,
    "altitude": 300.0,
    "gas_temperature": 285.0,
    "gauge_pressure": 2000.0,
}
_JUG = {
    "volume": 0.0018,
    "duration": 3600.0,
    "gross_heat_input": 30e3,
    "fuel": "natural_gas",
}

SOUND = {
    of.clocked_input_on_site: _METER,
    of.input_share_on_site: {**_METER, "rated_input": 30e3},
    of.condensate_share: {**_JUG, "flue_temperature": 313.15, "o2": 0.05, "altitude": 300.0},
    of.condensate_share_of_all: _JUG,
    of.clear_run_pressure: {
        "gross_heat_input": 24e3,
        "flue_temperature": 323.15,
        "o2": 0.05,
        "fuel": "natural_gas",
        "diameter": 0.08,
        "length": 12.0,
        "fittings": {"elbow_90": 2},
        "roughness": 1.5e-6,
        "absolute_pressure": 101_325.0,
    },
}

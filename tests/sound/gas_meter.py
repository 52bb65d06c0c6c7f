"""Arguments that every calculation of the gas meter must take."""

from engine.physics import gas_meter as of

_STATE = {
    "gas_temperature": 278.15,
    "gauge_pressure": 1750.0,
    "ambient_pressure": 95_000.0,
    "reference_temperature": 288.71,
    "reference_pressure": 101_560.0,
}
_CLOCKED = {"volume": 0.028, "duration": 36.0, "heating_value": 38e6}
_WANTED = {"flow": 8e-4, "deviation": 0.01, "dial_mark": 1.4e-3, "reaction_time": 0.3}

SOUND = {
    of.meter_factor: _STATE,
    of.clocked_input: {**_CLOCKED, **_STATE},
    of.input_share: {**_CLOCKED, "rated_input": 3e4, **_STATE},
    of.clocking_deviation: {
        "volume": 0.028,
        "duration": 36.0,
        "dial_mark": 1.4e-3,
        "reaction_time": 0.3,
    },
    of.clocking_duration: _WANTED,
    of.clocking_turns: {**_WANTED, "turn_volume": 0.028},
}

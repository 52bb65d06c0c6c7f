"""Arguments that every calculation of gas quality must take."""

from engine.physics import gas_quality as of

_HEAT = {
    "fuel": "natural_gas",
    "basis": "gross",
    "combustion_temperature": 298.15,
    "metering_temperature": 273.15,
    "metering_pressure": 101325.0,
}

SOUND = {
    of.compression_factor: {"fuel": "propane", "temperature": 280.0, "absolute_pressure": 9e4},
    of.gas_density: {"fuel": "propane", "temperature": 280.0, "absolute_pressure": 9e4},
    of.relative_density: {"fuel": "propane", "temperature": 288.15, "absolute_pressure": 9e4},
    of.heating_value: _HEAT,
    of.wobbe_index: _HEAT,
}

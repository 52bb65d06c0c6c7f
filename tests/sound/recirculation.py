"""Arguments that every calculation of recirculated flue gas must take."""

from engine.physics import recirculation as of

_MENDED = {
    "recirculated_share": 0.05,
    "fuel": "natural_gas",
    "intake_temperature": 285.0,
    "fresh_temperature": 280.0,
}
_BY_OXYGEN = {"intake_o2": 0.2, "flue_o2": 0.05, "fuel": "natural_gas"}
_BY_CARBON_DIOXIDE = {
    "intake_co2": 0.01,
    "flue_co2": 0.09,
    "fuel": "natural_gas",
    "room_co2": 0.0004,
}

SOUND = {
    of.recirculated_share_from_o2: _BY_OXYGEN,
    of.recirculated_share_from_co2: _BY_CARBON_DIOXIDE,
    of.excess_air_ratio_once_mended: {"flue_o2": 0.05, **_MENDED},
    of.o2_once_mended: {"flue_o2": 0.05, **_MENDED},
    of.co2_once_mended: {"flue_co2": 0.09, **_MENDED},
    of.set_o2_once_mended: {"set_o2": 0.05, **_BY_OXYGEN},
    of.set_co2_once_mended: {"set_co2": 0.09, **_BY_CARBON_DIOXIDE},
}

"""Arguments that every property of water must take."""

from engine.physics import water_properties as of

_MIXTURE = {"glycol_share": 0.3, "glycol": "propylene_glycol"}

SOUND = {
    of.glycol_named: {"glycol": "ethylene_glycol"},
    of.freezing_point: _MIXTURE,
    of.freeze_margin: {"coldest_temperature": 263.15, **_MIXTURE},
    of.water_density: {"temperature": 333.15, **_MIXTURE},
    of.water_heat_capacity: {"temperature": 333.15, **_MIXTURE},
}

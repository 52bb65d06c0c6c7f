"""Arguments that every calculation of the water side must take."""

from engine.physics import water as of

_MIXTURE = {"glycol_share": 0.3, "glycol": "propylene_glycol"}
_ENDS = {"flow_temperature": 343.15, "return_temperature": 323.15}

SOUND = {
    of.heat_output: {"volume_flow": 3e-4, **_ENDS, **_MIXTURE},
    of.flow_for_output: {"heat_output": 25e3, **_ENDS, **_MIXTURE},
    of.rise_for_flow: {
        "heat_output": 25e3,
        "volume_flow": 3e-4,
        "return_temperature": 323.15,
        **_MIXTURE,
    },
}

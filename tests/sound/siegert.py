"""Arguments that Siegert's formulas must take."""

from engine.physics import siegert as of

_FLUE = {"flue_temperature": 393.0, "air_temperature": 293.0, "fuel": "natural_gas"}

SOUND = {
    of.siegert_loss_net_from_o2: {**_FLUE, "o2": 0.05},
    of.siegert_loss_net_from_co2: {**_FLUE, "co2": 0.09},
}

"""Arguments that every calculation of flue losses must take."""

from engine.physics import losses as of

_LEAVING = {
    "flue_temperature": 315.0,
    "o2": 0.05,
    "fuel": "natural_gas",
    "absolute_pressure": 101325.0,
    "air_humidity": 0.01,
}
_FLUE = {**_LEAVING, "air_temperature": 293.0}

SOUND = {
    of.condensed_share: _LEAVING,
    of.sensible_loss_gross: _FLUE,
    of.latent_loss_gross: _FLUE,
    of.efficiency_gross: _FLUE,
    of.efficiency_net: _FLUE,
}

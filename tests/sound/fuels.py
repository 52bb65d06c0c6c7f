"""Arguments that every function about fuels must take."""

from engine.physics import fuels as of

SOUND = {
    of.fuel_named: {"fuel": "natural_gas"},
    of.with_hydrogen: {"fuel": "natural_gas", "share": 0.2},
}

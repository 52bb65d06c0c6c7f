"""Arguments that every calculation of the gas supply must take."""

from engine.physics import gas_supply as of

SOUND = {
    of.pressure_sag: {"static": 1800.0, "running": 1500.0},
    of.sag_share: {"static": 1800.0, "running": 1500.0},
    of.speed_ratio: {"measured": 68.0, "asked": 70.0},
}

"""Arguments that every equation of a thermistor must take."""

from engine.physics import ntc as of

_BETA = {"reference_resistance": 10_000.0, "beta": 3977.0, "reference_temperature": 298.15}
_STEINHART = {"a": 1.129241e-3, "b": 2.341077e-4, "c": 8.775468e-8}
_SHEET = {
    "reference_resistance": 10_000.0,
    "a": 3.354016e-3,
    "b": 2.569850e-4,
    "c": 2.620131e-6,
    "d": 6.383091e-8,
}

SOUND = {
    of.temperature_by_beta: {"resistance": 2487.0, **_BETA},
    of.resistance_by_beta: {"temperature": 333.15, **_BETA},
    of.temperature_by_steinhart_hart: {"resistance": 2487.0, **_STEINHART},
    of.resistance_by_steinhart_hart: {"temperature": 333.15, **_STEINHART},
    of.temperature_by_data_sheet: {"resistance": 2487.0, **_SHEET},
    of.resistance_by_data_sheet: {"temperature": 333.15, **_SHEET},
}

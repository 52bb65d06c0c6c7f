"""Arguments that every look-up in a sensor's table must take."""

from engine.physics import sensor_curves as of

_ROWS = ((323.15, 3601.0), (333.15, 2487.0), (343.15, 1752.0))

SOUND = {
    of.curve_named: {"curve": "pt1000"},
    of.temperature_by_table: {"resistance": 2500.0, "points": _ROWS},
    of.resistance_by_table: {"temperature": 333.0, "points": _ROWS},
}

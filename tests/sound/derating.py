"""Arguments that every calculation of derating must take."""

from engine.physics import derating as of

SOUND = {
    of.convention_named: {"convention": "canada"},
    of.input_at_altitude: {"rated_input": 30e3, "altitude": 1000.0, "convention": "above_2000_ft"},
    of.input_by_makers_table: {"altitude": 900.0, "table": [(0.0, 30e3), (1500.0, 27e3)]},
}

"""Arguments that every calculation of a platinum sensor must take."""

from engine.physics import platinum as of

SOUND = {
    of.platinum_resistance: {"temperature": 333.15, "nominal": 1000.0},
    of.platinum_temperature: {"resistance": 1232.4, "nominal": 1000.0},
    of.platinum_tolerance: {"temperature": 333.15, "tolerance_class": "B"},
}

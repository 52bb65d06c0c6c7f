"""Arguments that every calculation of the room's air must take."""

from engine.physics import room_air as of

SOUND = {
    of.standard_room_volume: {"total_input": 40e3},
    of.known_infiltration_room_volume: {
        "fan_assisted_input": 30e3,
        "other_input": 10e3,
        "air_changes_per_hour": 0.35,
    },
    of.opening_area: {"total_input": 40e3, "rule": "one_outdoor", "vent_connector_area": 0.01},
    of.opening_size: {"free_area": 0.03, "louvre": "metal"},
}

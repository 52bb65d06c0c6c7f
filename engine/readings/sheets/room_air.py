"""Air for combustion from the room: volume and openings under each rule of the codes."""

from engine.physics.room_air import (
    LOUVRES,
    OPENING_RULES,
    known_infiltration_room_volume,
    opening_area,
    opening_size,
    standard_room_volume,
)
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

LOUVRE_WORDS = {
    "none": "Bare opening or coarse screen",
    "metal": "Metal louvre, free area unknown",
    "wood": "Wooden louvre, free area unknown",
}

ENTRIES = (
    Entry("input", "Input of all appliances that draw on the room", "power", "kW", "600 kW",
          help="Direct-vent boilers, with an intake pipe of their own, do not count."),
    Entry("volume", "Volume of the room and rooms open to it", "volume", "m³", "5000 m3"),
    Entry("air_changes", "Air changes per hour, where known", "ratio", "1", "10", usual=False,
          help="Of the building in use, not of a blower door. The rule takes 0.60 at most."),
    Entry("rule", "Openings as they are", assumed="two_outdoor_direct",
          choices={name: rule.called.partition(":")[0] for name, rule in OPENING_RULES.items()}),
    Entry("area", "Size of each opening, as it looks", "area", "cm²", "10000 cm2"),
    Entry("louvre", "What covers it", assumed="metal",
          choices={name: LOUVRE_WORDS[name] for name in LOUVRES}),
    Entry("connectors", "Vent connectors in the room together, cross-section", "area", "cm²",
          "10000 cm2", assumed="0 cm2", usual=False),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Compare room and openings with the rules."""
    load = bench["input"]
    if load is None:
        return
    enough = bench.figure(standard_room_volume, "Room that needs no opening, standard method",
                          "volume", "m³", total_input=load)  # fmt: skip
    bench.figure(
        known_infiltration_room_volume, "Room that needs no opening, known infiltration", "volume",
        "m³", fan_assisted_input=load, other_input=0.0, air_changes_per_hour=bench["air_changes"],
        note="all appliances taken as fan-assisted",
    )  # fmt: skip
    room = bench.plain("volume")
    if room is not None and enough is not None:
        if room >= enough.calculated.value:
            bench.say(
                "By the standard method the room is large enough without openings, unless the "
                "house is tight: below 0.40 air changes per hour that method is not allowed."
            )
        else:
            bench.say("By the standard method the room is too small: it needs openings.")
    for name, rule in OPENING_RULES.items():
        needed = bench.figure(opening_area, f"Each opening: {rule.called}", "area", "cm²",
                              total_input=load, rule=name,
                              vent_connector_area=bench["connectors"])  # fmt: skip
        if needed is None or name != bench.plain("rule"):
            continue
        size = bench.figure(opening_size, "The same behind this cover", "area", "cm²",
                            free_area=needed.calculated.value,
                            louvre=bench.plain("louvre"))  # fmt: skip
        if size is not None and bench.has("area"):
            fits = bench.plain("area") >= size.calculated.value
            bench.say(
                f"{rule.called.partition(':')[0]}: each has to be {size.shown} behind this cover; "
                + ("these are large enough." if fits else "these are too small.")
            )
    bench.say("The code adopted here and the maker's manual decide; fans and dryers ask for more.")


SHEET = Sheet(
    id="room_air",
    title="Room air",
    about="Room volume and openings for a boiler that takes its air from the room.",
    entries=ENTRIES,
    work_out=work_out,
)

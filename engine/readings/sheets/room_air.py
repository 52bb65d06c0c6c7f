"""Air for combustion from the room: volume and openings under each rule of the codes."""

from engine.physics.room_air import (
    LOUVRES,
    OPENING_RULES,
    known_infiltration_room_volume,
    opening_area,
    opening_size,
    standard_room_volume,
)
from engine.readings import words
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

LOUVRE_WORDS = {
    "none": "Bare opening or coarse screen",
    "metal": "Metal louvre, free area unknown",
    "wood": "Wooden louvre, free area unknown",
}

INDOOR = "two_indoor"
TIGHT = 0.40
"""Air changes per hour below which the standard method is not allowed. NFPA 54 9.3.2.1."""

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
    Entry("both", "Volume of both rooms, where two openings join them", "volume", "m³", "5000 m3",
          usual=False),
    Entry("connectors", "Vent connectors in the room together, cross-section", "area", "cm²",
          "10000 cm2", assumed="0 cm2", usual=False),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Compare room and openings with the rules."""
    load, air_changes = bench["input"], bench.plain("air_changes")
    if load is None:
        return
    standard = None
    if not _tight(air_changes):
        standard = bench.figure(
            standard_room_volume, "Room that needs no opening, standard method", "volume", "m³",
            total_input=load,
        )  # fmt: skip
    known = bench.figure(
        known_infiltration_room_volume, "Room that needs no opening, known infiltration", "volume",
        "m³", fan_assisted_input=load, other_input=0.0, air_changes_per_hour=air_changes,
        note="all appliances taken as fan-assisted",
    )  # fmt: skip
    if _tight(air_changes):
        _tight_room(bench, known, air_changes)
    else:
        _room(bench, standard, known)
    for name, rule in OPENING_RULES.items():
        needed = bench.figure(opening_area, f"Each opening: {rule.called}", "area", "cm²",
                              total_input=load, rule=name,
                              vent_connector_area=bench["connectors"])  # fmt: skip
        if needed is not None and name == bench.plain("rule"):
            _openings(bench, name, needed, known if _tight(air_changes) else standard)
    bench.say("The code adopted here and the maker's manual decide; fans and dryers ask for more.")


def _tight(air_changes) -> bool:
    return air_changes is not None and air_changes < TIGHT


def _tight_room(bench, known, air_changes) -> None:
    """Only known infiltration counts in a house known to be tight."""
    if known is None:
        return
    room, enough = bench.plain("volume"), known.calculated.value
    if room is None:
        verdict = ""
    elif room < enough:
        verdict = ": too small, it needs openings from outdoors"
    else:
        verdict = ": large enough without openings, if all appliances are fan-assisted"
    bench.say(
        f"At {air_changes:.2g} air changes per hour the standard method is not allowed; by known "
        f"infiltration the room needs {known.shown}{verdict}."
    )


def _room(bench, standard, known) -> None:
    """The standard method, and beside it known infiltration where it is known."""
    room = bench.plain("volume")
    if room is None or standard is None:
        return
    enough = room >= standard.calculated.value
    if known is None:
        bench.say(
            "By the standard method the room is large enough without openings, unless the "
            "house is tight: below 0.40 air changes per hour that method is not allowed."
            if enough
            else "By the standard method the room is too small: it needs openings."
        )
        return
    bench.say(
        f"By the standard method the room needs {standard.shown}: "
        f"{'large enough' if enough else 'too small'}."
    )
    enough = room >= known.calculated.value
    verdict = "large enough, if all appliances are fan-assisted" if enough else "too small"
    bench.say(f"By known infiltration the room needs {known.shown}: {verdict}.")


def _openings(bench, name, needed, together) -> None:
    """Hold the openings against their rule; `together` is what joined rooms must have."""
    size = bench.figure(opening_size, "The same behind this cover", "area", "cm²",
                        free_area=needed.calculated.value,
                        louvre=bench.plain("louvre"))  # fmt: skip
    if size is None or not bench.has("area"):
        return
    fits = bench.plain("area") >= size.calculated.value
    if name == INDOOR and fits:
        _joined(bench, together)
        return
    rule = OPENING_RULES[name]
    kind = rule.called.partition(":")[0]
    if not bench.typed("rule"):
        kind = f"Taken as {kind[0].lower()}{kind[1:]}"
    one = rule.openings == 1
    cover = "this cover" if bench.typed("louvre") else "a metal louvre, as taken"
    if not fits:
        verdict = f"{'it is' if one else 'these are'} too small."
        if name == INDOOR:
            verdict += " The rooms count apart."
    elif rule.covers_vents and not bench.typed("connectors"):
        verdict = (
            "by the input alone it is large enough. Enter the vent connectors too: it must be as "
            "large as all of them together."
        )
    else:
        verdict = f"{'it is' if one else 'these are'} large enough."
    bench.say(f"{kind}: {'it' if one else 'each'} has to be {size.shown} behind {cover}; {verdict}")


def _joined(bench, together) -> None:
    """Openings between rooms bring no air: the rooms together must still have the volume."""
    joined = "These openings are large enough to count both rooms as one."
    both = bench.plain("both")
    if together is None:
        bench.say(f"{joined} Whether both together are large enough cannot be told.")
    elif both is None:
        bench.say(
            f"{joined} Both together must still have {together.shown}; enter the volume of both."
        )
    else:
        enough = both >= together.calculated.value
        bench.say(
            f"{joined} Both together have {words.rounded(both, 'volume', 'm³')} and must have "
            f"{together.shown}: "
            + (_enough(bench) if enough else "too small, they need openings from outdoors.")
        )


def _enough(bench) -> str:
    """On what a pass by volume still hangs."""
    if _tight(bench.plain("air_changes")):
        return "large enough, if all appliances are fan-assisted."
    if bench.has("air_changes"):
        return "large enough."
    return "large enough, unless the house is tight (below 0.40 air changes per hour)."


SHEET = Sheet(
    id="room_air",
    title="Room air",
    about="Room volume and openings for a boiler that takes its air from the room.",
    entries=ENTRIES,
    work_out=work_out,
)

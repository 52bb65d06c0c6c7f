"""Tape measure and thermometer on the vent: what the run costs the fan, and its draught."""

from engine.physics.combined import clear_run_pressure
from engine.physics.vent import ROUGHNESS, equivalent_length, stack_draught
from engine.physics.vent_gas import flue_gas_flow
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

ELBOWS = {
    "elbows_90": ("elbow_90", "Elbows of 90 degrees"),
    "elbows_45": ("elbow_45", "Elbows of 45 degrees"),
}

A_THIRD = 1 / 3
"""What typical figures for fittings and walls leave of the pressure, either way, read as two
standard deviations. Common practice, no source; see `engine.physics.vent`."""
NOTHING, WIDE, DOMESTIC = 1.0, 0.3, 70e3
"""A drop under 1 Pa in a vent wider than 0.3 m at no more than 70 kW: a slip. Judgement."""

ENTRIES = (
    Entry("diameter", "Inside diameter of the vent", "length", "mm", "500 mm"),
    Entry("length", "Straight length, all pieces", "length", "m", "100 m"),
    *(Entry(name, label, "ratio", "1", "20", assumed="0") for name, (_, label) in ELBOWS.items()),
    Entry("input", "Heat input, gross", "power", "kW", "600 kW",
          help="Without it the rated input is taken."),
    Entry("flue", "Flue gas temperature", "temperature", "°C", "250 °C", "flue_thermocouple",
          assumed="50 °C ± 15 K"),
    Entry("o2", "O2 in the dry flue gas", "dry_fraction", "%", "21 %", "o2_cell",
          assumed="5 % ± 1.8 %"),
    Entry("height", "Rise from boiler to terminal", "length", "m", "50 m", usual=False),
    Entry("outdoor", "Outdoor temperature", "temperature", "°C", "50 °C", assumed="10 °C ± 10 K",
          usual=False),
    Entry("wall", "Pipe", assumed="plastic", usual=False,
          choices={"plastic": "Plastic, smooth", "sheet_steel": "Sheet metal"}),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Work out equivalent length, pressure drop and draught."""
    if not bench.has("diameter", "length"):
        return
    counts = {fitting: bench.plain(name) for name, (fitting, _) in ELBOWS.items()}
    if any(value is None for value in counts.values()):
        return
    if any(value % 1 for value in counts.values()):
        bench.say("Elbows come whole; those of 45 degrees have their own line.")
        return
    run = {"length": bench["length"], "diameter": bench["diameter"], "fittings": counts}
    bench.figure(equivalent_length, "Straight pipe that costs as much", "length", "m", **run,
                 note="the maker's own figure for an elbow goes first")  # fmt: skip
    load = bench.plain("input") if bench.has("input") else bench.fact("rated_input")
    if load is None:
        bench.say("Enter the heat input: the pressure it takes goes with the square of the flow.")
        return
    gas = {"flue_temperature": bench["flue"], "o2": bench["o2"], "fuel": bench.fuel,
           "absolute_pressure": bench.air_pressure()}  # fmt: skip
    bench.figure(flue_gas_flow, "Flue gas that leaves", "volume_flow", "m³/h",
                 gross_heat_input=load, **gas)  # fmt: skip
    _drop(bench, load, run, gas)
    _draught(bench, gas)


def _drop(bench, load, run, gas) -> None:
    """What the clear run takes, and what a reading far above it tells."""
    given = {"gross_heat_input": load, "roughness": ROUGHNESS.get(bench.plain("wall")),
             **run, **gas}  # fmt: skip
    middle = None if None in given.values() else bench.quietly(
        clear_run_pressure, **bench.middles(given)
    )  # fmt: skip
    drop = bench.worked_out(clear_run_pressure, "Pressure the run takes, clear", "gauge_pressure",
                            "Pa", **given, own_deviation=A_THIRD / 2 * (middle or 0.0),
                            note="typical fittings: a third either way")  # fmt: skip
    if drop is None:
        return
    if drop.nominal_value < NOTHING and bench.plain("diameter") > WIDE and load <= DOMESTIC:
        bench.say("Hardly any pressure in so wide a vent: was the diameter in cm?")
        return
    bench.say(
        f"A clear run takes about {drop.nominal_value:.0f} Pa. A reading a third above that is "
        "within its doubt; twice as much at the same input tells of water in a sag, ice, a nest "
        "or a pipe too narrow. The maker's greatest length decides."
    )
    if not bench.has("input"):
        bench.say("The rated input was taken: read the pressure at high fire.")


def _draught(bench, gas) -> None:
    draught = bench.worked_out(stack_draught, "Draught of the warm column", "gauge_pressure", "Pa",
                               height=bench["height"], outdoor_temperature=bench["outdoor"],
                               **gas)  # fmt: skip
    if draught is not None and draught.nominal_value + 2 * draught.std_dev < 0:
        bench.say(
            "The column pulls backwards: "
            + ("it is warmer outside." if bench.plain("height") > 0 else "the vent runs down.")
        )


SHEET = Sheet(
    id="vent",
    title="Vent",
    about="What a clear run of vent takes from the fan, and what a warm column gives back.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("rated_input", "altitude"),
    fuel=True,
)

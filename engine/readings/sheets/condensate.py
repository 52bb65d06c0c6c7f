"""Jug, watch and strip at the drain: condensate caught against what must come."""

from engine.physics.atmosphere import standard_pressure
from engine.physics.combined import condensate_share, condensate_share_of_all
from engine.physics.condensate import condensate_rate, greatest_condensate_rate
from engine.physics.flue_gas import o2_from_co2
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

ENTRIES = (
    Entry("volume", "Water caught at the drain", "volume", "L", "50 L", "measuring_jug",
          feeds={"": (("condensate_rate", "volume"),)},
          help="Steady running, trap full, ten minutes at least."),
    Entry("duration", "Time it took", "duration", "min", "120 min", "stopwatch",
        feeds={"": (("condensate_rate", "duration"),)}),
    Entry("input", "Heat input over that time, gross", "power", "kW", "600 kW",
          help="By the meter or from the rate shown. Without it the rated input is taken."),
    Entry("flue", "Flue gas temperature", "temperature", "°C", "100 °C", "flue_thermocouple",
          feeds={"": (("condensate_rate", "flue"),)}),
    Entry("co2", "CO2 in the dry flue gas", "dry_fraction", "%", "14 %", "co2_sensor",
          assumed="9 %"),
    Entry("ph", "pH by the strip", "ph", "pH", "14", "ph_strips",
          feeds={"": (("condensate_ph", "ph"),)}),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Judge the pH; compare what was caught with what was to be expected."""
    bench.scaled(bench.judge("condensate_ph", {"condensate_ph": {"ph": bench.plain("ph")}}))
    load = bench["input"] if bench.has("input") else bench.fact("rated_input")
    if load is None:
        if bench.has("volume"):
            bench.say("Enter the heat input: what must come depends on it.")
        return
    altitude = bench.fact("altitude")
    o2 = bench.worked_out(o2_from_co2, "O2 that belongs to this CO2", "dry_fraction", "%",
                          co2=bench["co2"], fuel=bench.fuel)  # fmt: skip
    bench.figure(greatest_condensate_rate, "Most that this gas can give", "volume_flow", "L/h",
                 gross_heat_input=load, fuel=bench.fuel)  # fmt: skip
    given = {"gross_heat_input": load, "flue_temperature": bench["flue"], "o2": o2,
             "fuel": bench.fuel,
             "absolute_pressure": standard_pressure(altitude or 0.0)}  # fmt: skip
    bench.figure(condensate_rate, "To be expected at this flue temperature", "volume_flow", "L/h",
                 **given)  # fmt: skip
    if not bench.has("volume", "duration"):
        return
    jug = {"volume": bench["volume"], "duration": bench["duration"], "gross_heat_input": load,
           "fuel": bench.fuel}  # fmt: skip
    of_all = bench.figure(condensate_share_of_all, "Caught of the most this gas can give", "ratio",
                          "%", **jug)  # fmt: skip
    of_expected = bench.figure(condensate_share, "Caught of what was expected", "ratio", "%", **jug,
                               flue_temperature=bench["flue"], o2=o2,
                               altitude=altitude or 0.0)  # fmt: skip
    if of_all is not None:
        _say(bench, of_all.calculated, of_expected and of_expected.calculated)


SHORT = 0.8
"""Below this share of what was expected water is missing. Judgement: catching loses some."""


def _say(bench, of_all, of_expected) -> None:
    if of_all.value - 2 * of_all.deviation > 1.0:
        bench.say(
            "More water than the gas can give: look for water from elsewhere, rain in the vent, a "
            "leaking exchanger, another drain on the same pipe."
        )
    elif of_expected is None:
        bench.say("Enter the flue temperature, to see how much of it was to be expected.")
    elif of_expected.value + 2 * of_expected.deviation < SHORT:
        bench.say(
            "Less than must come: water stays back or leaves elsewhere. Look at trap, drain and "
            "vent falls before the exchanger is blamed."
        )
    elif of_expected.value - 2 * of_expected.deviation > 1.0:
        bench.say(
            "More than such a flue temperature gives: was it read at the boiler's outlet, and the "
            "input right?"
        )
    else:
        bench.say("What comes is what must come, within the accuracy of the instruments.")


SHEET = Sheet(
    id="condensate",
    title="Condensate",
    about="Condensate caught at the drain, against what the flue gas must give.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("rated_input", "altitude"),
    fuel=True,
)

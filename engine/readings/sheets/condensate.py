"""Jug, watch and strip at the drain: condensate caught against what must come."""

import math

from uncertainties import nominal_value, std_dev

from engine.physics.combined import condensate_share_of_all
from engine.physics.condensate import condensate_rate, greatest_condensate_rate
from engine.physics.flue_gas import o2_from_co2
from engine.physics.moisture import flue_dew_point
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
          assumed="9 % ± 1 %"),
    Entry("ph", "pH by the strip", "ph", "pH", "14", "ph_strips",
          feeds={"": (("condensate_ph", "ph"),)}),
)  # fmt: skip


RATE, PH, HOLD_TEST = "condensate_rate", "condensate_ph", "water_side_hold_test"
TELLS = 0.5
"""From this doubt on, as a share of the figure, it tells nothing. Judgement."""
COLD_WALL = 2.0
"""So far above its dew point flue gas may still wet the coldest wall, in kelvin. Judgement; see
`engine.physics.losses`."""


def work_out(bench: Bench) -> None:
    """Judge the pH; compare what was caught with what was to be expected."""
    bench.scaled(bench.judge(PH, {PH: {"ph": bench.plain("ph")}}))
    load = bench["input"] if bench.has("input") else bench.fact("rated_input")
    if load is None:
        if bench.has("volume"):
            bench.say("Enter the heat input: what must come depends on it.")
        return
    o2 = bench.worked_out(o2_from_co2, "O2 that belongs to this CO2", "dry_fraction", "%",
                          co2=bench["co2"], fuel=bench.fuel)  # fmt: skip
    gas = {"o2": o2, "fuel": bench.fuel,
           "absolute_pressure": bench.air_pressure()}  # fmt: skip
    bench.figure(greatest_condensate_rate, "Most that this gas can give", "volume_flow", "L/h",
                 gross_heat_input=load, fuel=bench.fuel)  # fmt: skip
    dew = bench.worked_out(flue_dew_point, "Dew point of the flue gas", "temperature", "°C",
                           **gas)  # fmt: skip
    expected = bench.worked_out(condensate_rate, "To be expected at this flue temperature",
                                "volume_flow", "L/h", gross_heat_input=load,
                                flue_temperature=bench["flue"], **gas)  # fmt: skip
    if not bench.has("volume", "duration"):
        return
    of_all = bench.figure(condensate_share_of_all, "Caught of the most this gas can give", "ratio",
                          "%", volume=bench["volume"], duration=bench["duration"],
                          gross_heat_input=load, fuel=bench.fuel)  # fmt: skip
    if of_all is None:
        return
    beyond = _surely_above_one(of_all.calculated)
    if beyond:
        bench.say(
            "More water than the gas can give, whatever the flue temperature: rain in the vent, "
            "another drain on this pipe, or water through the exchanger. pH strip and hold test."
        )
        _look_for_other_water(bench, "More water than the gas can give")
    if not bench.has("flue"):
        if not beyond:
            bench.say("Enter the flue temperature, to see how much of it was to be expected.")
    elif dew is not None and expected is not None and _can_tell(bench, dew, expected):
        _judge(bench, load, o2, beyond)


def _can_tell(bench, dew, expected) -> bool:
    """Whether the flue temperature and the jug leave a share worth judging; says why not."""
    above = bench["flue"] - dew
    if nominal_value(above) > COLD_WALL + 2 * std_dev(above):
        if nominal_value(bench["volume"]) > 2 * std_dev(bench["volume"]):
            bench.say(
                "At this flue temperature no water should come: wrong flue temperature, or water "
                "from elsewhere."
            )
        return False
    if _doubt(expected) > TELLS:
        bench.say("Too near the dew point to tell; repeat with a return under 45 °C.")
        return False
    if math.hypot(_doubt(expected), _doubt(bench["volume"]), _doubt(bench["duration"])) > TELLS:
        bench.say("Too little caught to tell: catch longer.")
        return False
    return True


def _doubt(value) -> float:
    """Twice the deviation as a share of the value."""
    middle = nominal_value(value)
    return 2 * std_dev(value) / middle if middle > 0 else math.inf


def _judge(bench, load, o2, beyond) -> None:
    """The verdict of the knowledge, and what more water than expected asks for."""
    caught = {name: bench.plain(name) for name in ("volume", "duration", "flue")}
    verdict = bench.judge(
        RATE, {RATE: caught, "mixture_high_fire": {"o2": nominal_value(o2)}},
        facts={"rated_input": nominal_value(load)},
    )  # fmt: skip
    bench.scaled(verdict)
    if verdict is None:
        return
    if not beyond and _surely_above_one(verdict.figure.calculated):
        more = "More than such a flue temperature gives"
        bench.say(
            f"{more}{', though within what a catch is off by' if verdict.sound else ''}. First: is "
            "it read at the outlet, is the input right? Then: rain in the vent, another drain on "
            "this pipe, or water through the exchanger: pH strip and hold test."
        )
        _look_for_other_water(bench, more)
    if not bench.has("input") and not verdict.sound:
        bench.say("The rated input was taken: did it run at high fire all the time?")


def _surely_above_one(share) -> bool:
    return share.value - 2 * share.deviation > 1.0


def _look_for_other_water(bench, why) -> None:
    bench.go_on_with(PH, why)
    bench.go_on_with(HOLD_TEST, why)


def _another_input(typed) -> tuple[str, ...]:
    """A visit compares with the rated input: nothing for a catch at another one."""
    caught = ("volume", "duration", "flue")
    return caught if typed.get("input", "").strip() else ()


SHEET = Sheet(
    id="condensate",
    title="Condensate",
    about="Condensate caught at the drain, against what the flue gas must give.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("rated_input", "altitude"),
    fuel=True,
    left_out=_another_input,
)

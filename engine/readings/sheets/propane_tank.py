"""The propane tank: its pressure, and whether it can feed the boiler on a cold day."""

import numpy as np

from engine.physics.propane_tank import (
    PROPANE_TEMPERATURE,
    still_air_capacity,
    tank_gauge_pressure,
    vapour_capacity,
)
from engine.readings.bench import Bench
from engine.readings.pictures import Axis, Chart, Line, Point, Rule
from engine.readings.sheet import Entry, Sheet

ENTRIES = (
    Entry("content", "Tank gauge", "percentage_of_tank", "%", "100 %", "tank_gauge",
          feeds={"": (("tank_content", "content"),)}),
    Entry("diameter", "Outside diameter of the tank", "length", "m", "3 m"),
    Entry("length", "Length of the tank, ends included", "length", "m", "10 m"),
    Entry("air", "Air temperature at the tank", "temperature", "°C", "50 °C",
          "contact_thermometer"),
    Entry("load", "Input of all appliances on the tank", "power", "kW", "600 kW",
          help="Without it the rated input of this boiler is taken."),
    Entry("liquid", "Temperature of the liquid, where it was measured", "temperature", "°C",
          "50 °C", "contact_thermometer", usual=False,
          help="Skin of the tank below the frost line. Without it the tank is taken as warm as the "
               "air."),
)  # fmt: skip

COLDEST, WARMEST = 244.3, 266.4
"""Between these the handbook rule holds, in kelvin: -20 to +20 °F."""
NO_PRESSURE = 0.5e5
"""Below this gauge pressure a first-stage regulator hardly works, in pascal. Judgement."""
OVER_FULL = 0.85
"""Above this content no liquid has room left to warm up. Tanks are filled to 80 %, with some codes
to 85 %. Common practice, no source."""
FROSTED = 1 / 3
"""What frost and a draw without rest leave of the still-air figure, at least; the trade's table in
`engine.physics.propane_tank.still_air_capacity`."""


def work_out(bench: Bench) -> None:
    """Judge the content; work out pressure and what the tank can feed."""
    content = bench.judge("tank_content", {"tank_content": {"content": bench.plain("content")}})
    bench.scaled(content)
    skin = bench["liquid"] if bench.has("liquid") else bench["air"]
    pressure = bench.worked_out(
        tank_gauge_pressure, "Pressure in the tank, pure propane", "gauge_pressure", "bar",
        temperature=skin, ambient_pressure=bench.air_pressure(),
        note="a tank that feeds is colder than the air",
    )  # fmt: skip
    if bench.has("content") and bench.plain("content") > OVER_FULL:
        bench.say("Over-full tanks are dangerous: call the supplier, do not draw or vent.")
        return
    if _too_cold(bench, pressure):
        bench.say(
            "At this temperature the tank has hardly any pressure left: it cannot feed the boiler. "
            "Never warm it with a flame; call the gas supplier."
        )
        return
    tank = {name: bench[entry] for name, entry in
            (("diameter", "diameter"), ("length", "length"), ("liquid", "content"))}  # fmt: skip
    if any(value is None for value in tank.values()) or not bench.has("air"):
        return
    if bench.plain("air") < COLDEST:
        bench.say(
            "So cold that no figure leaves the tank anything to feed with: read the running "
            "pressure, and call the gas supplier. Never warm a tank with a flame."
        )
        return
    windy = None
    if bench.plain("air") <= WARMEST:
        windy = bench.worked_out(vapour_capacity, "What it can feed at best, handbook rule",
                                 "power", "kW", **tank, air_temperature=bench["air"],
                                 note="a bare tank in a fresh wind")  # fmt: skip
    still = bench.worked_out(still_air_capacity, "What it feeds for ever in still air", "power",
                             "kW", **tank, air_temperature=bench["air"],
                             note="without frost")  # fmt: skip
    load = bench.plain("load") if bench.has("load") else bench.fact("rated_input")
    if load is None:
        bench.say("Enter the input of all appliances on the tank, to see whether it can feed them.")
        return
    _say(bench, load, windy, still)
    if not bench.has("load"):
        bench.say("Only this boiler's rated input was taken: add all others on the tank.")
    if windy is not None:
        bench.draw(_picture(bench, load))


def _too_cold(bench, pressure) -> bool:
    """Whether the propane hardly boils where it is read."""
    if pressure is not None:
        return pressure.nominal_value < NO_PRESSURE
    skin = bench.plain("liquid") if bench.has("liquid") else bench.plain("air")
    return skin is not None and skin < PROPANE_TEMPERATURE.low


def _say(bench, load, windy, still) -> None:
    if windy is not None and abs(windy.nominal_value - load) <= 2 * windy.std_dev:
        bench.say(
            "The load lies so near what the tank feeds at best that it is too near to tell: watch "
            "the running pressure on a long cold run."
        )
    elif windy is not None and windy.nominal_value < load:
        bench.say(
            "The load outruns the tank at this temperature, wind or not: it chills, its pressure "
            "falls, and the boiler starves after a while. More liquid, or a bigger tank."
        )
    elif still is None:
        return
    elif load < FROSTED * (still.nominal_value - 2 * still.std_dev):
        bench.say("By every figure the tank feeds this load.")
    elif load < still.nominal_value:
        bench.say(
            "Still air without frost feeds it on paper; a long run frosts the tank and takes half "
            "or more. Watch the running pressure."
        )
    elif windy is not None:
        bench.say(
            "Between still air and wind: weather and pauses decide. Suspect the tank when the "
            "fault comes on long cold runs; look for frost on it and read the pressure then."
        )
    else:
        bench.say(
            "More than still air feeds for ever; how much wind adds, no rule tells in air so warm. "
            "Watch the running pressure, and look for frost on the tank."
        )


def _picture(bench, load) -> Chart:
    temperatures = np.linspace(COLDEST, WARMEST, 41)
    shape = [bench.plain(name) for name in ("diameter", "length", "content")]

    def curve(function):
        capacity = bench.quietly(function, *shape, temperatures)
        return () if capacity is None else tuple(
            (bench.in_unit(t, "temperature", "°C"), c / 1000)
            for t, c in zip(temperatures, capacity, strict=True)
        )  # fmt: skip

    windy, still = curve(vapour_capacity), curve(still_air_capacity)
    most = max((y for _, y in (*windy, *still)), default=1.0)
    return Chart(
        title="What the tank can feed",
        x=Axis("Air at the tank [°C]", -29.0, -6.0),
        y=Axis("Heat input [kW]", 0.0, 1.1 * max(most, load / 1000)),
        words=(
            f"Between the two curves weather decides; a load of {load / 1000:.0f} kW above the "
            "upper one outruns the tank."
        ),
        lines=tuple(
            Line(name, points, main)
            for name, points, main in (
                ("At best, in wind", windy, True), ("For ever, still air", still, False)
            )
            if points
        ),
        points=(
            Point("Now", bench.in_unit(bench.plain("air"), "temperature", "°C"), load / 1000),
        ),
        rules=(Rule("Load", load / 1000),),
    )  # fmt: skip


SHEET = Sheet(
    id="propane_tank",
    title="Propane tank",
    about="A lying propane tank in the open: its pressure, and the vapour it can feed.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("rated_input", "altitude"),
)

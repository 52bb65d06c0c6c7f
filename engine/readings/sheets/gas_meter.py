"""Gas meter and stopwatch: heat input against the plate, and how far to trust it."""

import math

from uncertainties import nominal_value

from engine.knowledge.instruments import Stated
from engine.physics.combined import clocked_input_on_site
from engine.physics.derating import CONVENTIONS, input_at_altitude
from engine.physics.gas_meter import clocking_deviation, clocking_duration, meter_factor
from engine.physics.gas_quality import heating_value
from engine.readings import words
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

CLOCKED = "gas_input_clocked"
AS_ON_PLATE = "as_on_plate"
REACTION = 0.3
"""Farthest that a press of the stopwatch comes early or late, in seconds. Judgement."""
WANTED = 0.01
"""Standard deviation worth clocking for, as a share: the band is 10 % wide. Judgement."""

ENTRIES = (
    Entry("volume", "Gas through the meter, nothing else burning", "volume", "L", "5000 L",
          "gas_meter", feeds={"": ((CLOCKED, "volume"),)}),
    Entry("duration", "Time it took", "duration", "s", "1800 s", "stopwatch",
          feeds={"": ((CLOCKED, "duration"),)}),
    Entry("mark", "Smallest mark of the dial, or step of the last digit", "volume", "L", "100 L",
          help="A one-foot dial with ten marks has 0.1 ft³. A number wheel steps by its last "
               "digit."),
    Entry("gas_temperature", "Temperature of the gas in the meter", "temperature", "°C", "50 °C",
          "contact_thermometer", assumed="15 °C ± 10 K", usual=False,
          feeds={"": ((CLOCKED, "gas_temperature"),)},
          help="That of the pipe there. A meter that corrects for temperature says so: 15 °C."),
    Entry("meter_pressure", "Gas pressure in the meter", "gauge_pressure", "mbar", "350 mbar",
          "manometer", assumed="20 mbar ± 10 mbar", usual=False,
          feeds={"": ((CLOCKED, "meter_pressure"),)},
          help="2 psi meters run at 138 mbar. Where the supplier's factor is in already, enter 0 "
               "and leave the altitude out."),
    Entry("convention", "How the plate counts altitude", assumed=AS_ON_PLATE, usual=False,
          choices={AS_ON_PLATE: "The plate holds for this altitude"}
          | {name: each.called for name, each in CONVENTIONS.items()},
          help="The manual says which. Codes differ by 8 % of the rating at 1500 m (5000 ft)."),
)  # fmt: skip


HIGH_PLACE = 600.0
"""Above this altitude the input hangs on how the plate counts it, in m: the codes' 2000 ft."""


def work_out(bench: Bench) -> None:
    """Work out the input and judge it against the plate."""
    mark = bench.plain("mark")
    if mark is not None and mark > 0:
        _by_the_marks(bench, mark)
    altitude = bench.fact("altitude")
    conditions = {
        "heating_value": _heating_value(bench),
        "altitude": bench.altitude(),
        "gas_temperature": bench["gas_temperature"],
        "gauge_pressure": bench["meter_pressure"],
    }
    clocked = bench.figure(
        clocked_input_on_site, "Input by the meter, gross", "power", "kW", volume=bench["volume"],
        duration=bench["duration"], **conditions,
    )  # fmt: skip
    if clocked is None:
        return
    bench.figure(
        meter_factor, "Correction for temperature, pressure and altitude", "ratio", "1",
        gas_temperature=bench["gas_temperature"], gauge_pressure=bench["meter_pressure"],
        ambient_pressure=bench.air_pressure(),
    )  # fmt: skip
    rated = _rated(bench, altitude)
    if rated is not None:
        _judge(bench, rated)
    if mark is not None:
        _resolution(bench)
    if bench.is_typical("heating_value"):
        bench.say("The heating value is a typical one: 5 % off is common. Ask the supplier.")


def _by_the_marks(bench, mark) -> None:
    """A volume is the difference of two readings, each to the nearest mark: two deviations."""
    accuracy = bench.knowledge.instruments["gas_meter"].accuracy
    off = 2 * mark / math.sqrt(6)
    bench.restate("gas_meter", Stated(of_reading=accuracy.of_reading, at_least=f"{off:.9f} m3"),
                  "Gas meter as finely as its marks are read")  # fmt: skip


def _heating_value(bench):
    """That of the supplier, or of the composition chosen; a typical one with its spread."""
    if bench.is_typical("heating_value") and bench.fuel.name not in ("natural_gas", "propane"):
        return heating_value(bench.fuel, "gross")
    return bench.uncertain_fact("heating_value")


def _rated(bench, altitude) -> float | None:
    """The input to compare with; None where that cannot be told, and why."""
    rated = bench.fact("rated_input")
    convention = bench.plain("convention")
    if rated is None:
        bench.say("Enter the rated input of the plate: without it the input says nothing.")
        return None
    if convention is None:
        return None
    if convention != AS_ON_PLATE:
        if altitude is None:
            bench.say("Enter the altitude, to count it by that convention.")
            return None
        figure = bench.figure(
            input_at_altitude, f"Rated input here: {CONVENTIONS[convention].called}", "power",
            "kW", rated_input=rated, altitude=altitude, convention=convention,
        )  # fmt: skip
        return figure and figure.calculated.value
    if altitude is not None and altitude > HIGH_PLACE and not bench.typed("convention"):
        thin = bench.quietly(input_at_altitude, rated, altitude, "density")
        leaves = "" if thin is None else f" Thin air alone leaves about {thin / 1000:.0f} kW."
        bench.say(f"Not judged: say how the plate counts this altitude.{leaves}")
        return None
    return rated


def _judge(bench, rated) -> None:
    fields = ("volume", "duration", "gas_temperature", "meter_pressure")
    facts = {"rated_input": rated}
    if bench.fuel.name not in ("natural_gas", "propane"):
        facts["heating_value"] = nominal_value(_heating_value(bench))
    given = {
        name: bench.plain(name)
        for name in fields
        if bench.typed(name) or name in ("volume", "duration")
    }
    bench.scaled(bench.judge(CLOCKED, {CLOCKED: given}, facts))


def _resolution(bench) -> None:
    """What dial and thumb leave of the figure, and how long to clock for a good one."""
    volume, duration, mark = (bench.plain(name) for name in ("volume", "duration", "mark"))
    share = bench.attempt(
        "Dial and stopwatch", clocking_deviation, volume, duration, mark, REACTION
    )
    if share is None or share <= WANTED:
        return
    needed = bench.attempt(
        "Time to clock", clocking_duration, volume / duration, WANTED, mark, REACTION
    )
    if needed is not None:
        bench.say(
            f"Dial and thumb alone leave ± {200 * share:.1f} %. Clock for "
            f"{words.rounded(needed, 'duration', 's')} to bring that to ± {200 * WANTED:.0f} %."
        )


def _otherwise_counted(typed) -> tuple[str, ...]:
    """A visit compares with the plate as it is: nothing for one that counts altitude otherwise."""
    counted = typed.get("convention", "") not in ("", AS_ON_PLATE)
    return tuple(entry.name for entry in ENTRIES) if counted else ()


SHEET = Sheet(
    id="gas_meter",
    title="Gas meter",
    about="Heat input by the gas meter and a stopwatch, at high fire.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("rated_input", "heating_value", "altitude"),
    fuel=True,
    left_out=_otherwise_counted,
)

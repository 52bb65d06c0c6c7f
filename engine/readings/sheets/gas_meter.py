"""Gas meter and stopwatch: heat input against the plate, and how far to trust it."""

from engine.physics.atmosphere import standard_pressure
from engine.physics.combined import clocked_input_on_site
from engine.physics.derating import CONVENTIONS, input_at_altitude
from engine.physics.gas_meter import clocking_deviation, clocking_duration, meter_factor
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
          "contact_thermometer", assumed="15 °C", usual=False,
          feeds={"": ((CLOCKED, "gas_temperature"),)},
          help="That of the pipe there. A meter that corrects for temperature says so: 15 °C."),
    Entry("meter_pressure", "Gas pressure in the meter", "gauge_pressure", "mbar", "350 mbar",
          "manometer", assumed="20 mbar", usual=False, feeds={"": ((CLOCKED, "meter_pressure"),)},
          help="2 psi meters run at 138 mbar. Enter 0 where the supplier's factor is in already."),
    Entry("convention", "How the plate counts altitude", assumed=AS_ON_PLATE, usual=False,
          choices={AS_ON_PLATE: "The plate holds for this altitude"}
          | {name: each.called for name, each in CONVENTIONS.items()},
          help="The manual says which. Codes differ by 8 % of the rating at 1500 m (5000 ft)."),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Work out the input and judge it against the plate."""
    altitude = bench.fact("altitude")
    rated = bench.fact("rated_input")
    convention = bench.plain("convention")
    if convention != AS_ON_PLATE:
        rated = _derated(bench, rated, altitude, convention)
    if bench.has("volume", "duration") and bench.fact("rated_input") is None:
        bench.say("Enter the rated input of the plate: without it the input says nothing.")
    fields = ("volume", "duration", "gas_temperature", "meter_pressure")
    verdict = bench.judge(CLOCKED, {CLOCKED: {name: bench.plain(name) for name in fields}},
                          facts={"rated_input": rated})  # fmt: skip
    bench.scaled(verdict)
    clocked = bench.figure(
        clocked_input_on_site, "Input by the meter, gross", "power", "kW", volume=bench["volume"],
        duration=bench["duration"], heating_value=bench.fact("heating_value"),
        altitude=altitude or 0.0, gas_temperature=bench["gas_temperature"],
        gauge_pressure=bench["meter_pressure"],
    )  # fmt: skip
    if clocked is None:
        return
    bench.figure(
        meter_factor, "Correction for temperature, pressure and altitude", "ratio", "1",
        gas_temperature=bench["gas_temperature"], gauge_pressure=bench["meter_pressure"],
        ambient_pressure=standard_pressure(altitude or 0.0),
    )  # fmt: skip
    if bench.is_typical("heating_value"):
        bench.say("The heating value is a typical one: 5 % off is common. Ask the supplier.")
    _resolution(bench)


def _derated(bench, rated, altitude, convention):
    if rated is None or altitude is None:
        bench.say("Enter rated input and altitude, to count the altitude by that convention.")
        return rated
    figure = bench.figure(
        input_at_altitude, f"Rated input here: {CONVENTIONS[convention].called}", "power", "kW",
        rated_input=rated, altitude=altitude, convention=convention,
    )  # fmt: skip
    return figure.calculated.value if figure else rated


def _resolution(bench) -> None:
    """What dial and thumb leave of the figure, and how long to clock for a good one."""
    if bench.plain("mark") is None:
        return
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


SHEET = Sheet(
    id="gas_meter",
    title="Gas meter",
    about="Heat input by the gas meter and a stopwatch, at high fire.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("rated_input", "heating_value", "altitude"),
    fuel=True,
)

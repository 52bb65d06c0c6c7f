"""The manometer at the inlet test point: pressure at rest, while firing, and the fall between."""

from engine.physics.gas_supply import sag_share
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

STATIC, RUNNING, SAG = "inlet_gas_pressure_static", "inlet_gas_pressure_running", "gas_pressure_sag"

ENTRIES = (
    Entry("static", "Pressure at rest, burner off", "gauge_pressure", "mbar", "70 mbar",
          "manometer", feeds={"": ((STATIC, "pressure"),)}),
    Entry("running", "Pressure at high fire, everything else on too", "gauge_pressure", "mbar",
          "70 mbar", "manometer", feeds={"": ((RUNNING, "pressure"),)}),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Judge both pressures and the fall."""
    readings = {
        STATIC: {"pressure": bench.plain("static")},
        RUNNING: {"pressure": bench.plain("running")},
    }
    at_rest = bench.judge(STATIC, readings)
    firing = bench.judge(RUNNING, readings)
    sag = bench.judge(SAG, readings)
    bench.figure(sag_share, "Fall as a share of the pressure at rest", "ratio", "%",
                 static=bench["static"], running=bench["running"])  # fmt: skip
    for verdict in (at_rest, firing, sag):
        bench.scaled(verdict)
    if at_rest is not None and firing is None:
        bench.say(
            "A pressure at rest clears nothing: a half-shut cock shows full pressure until gas "
            "flows. Read it at high fire too."
        )
    if at_rest is not None and firing is not None and at_rest.sound and not firing.sound:
        bench.say(
            "Right at rest and too low while firing: something between the main and this point "
            "throttles the flow. The valve is not at fault."
        )
    if bench.has("static", "running") and bench.plain("running") > bench.plain("static"):
        bench.say(
            "It rose when gas began to flow, which a supply does not do: were the two swapped, or "
            "was the pressure at rest still settling?"
        )


SHEET = Sheet(
    id="gas_pressure",
    title="Gas pressure",
    about="What a manometer shows at the inlet test point of the gas valve.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("inlet_pressure_min", "inlet_pressure_max"),
    fuel=True,
)

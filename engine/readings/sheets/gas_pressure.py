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


HIGH_SUPPLY = 5750.0
"""Up to this pressure at rest propane supplies of 37 and 50 mbar are sound, in Pa: 50 mbar and
15 %. EN 437, from memory; the plate decides."""


def work_out(bench: Bench) -> None:
    """Judge both pressures and the fall."""
    at_rest, firing = bench.plain("static"), bench.plain("running")
    if at_rest is not None and firing is not None and firing > at_rest:
        bench.say(
            "It rose when gas began to flow, which a supply does not do: were the two swapped, or "
            "was the pressure at rest still settling?"
        )
    readings = {STATIC: {"pressure": at_rest}, RUNNING: {"pressure": firing}}
    resting = bench.judge(STATIC, readings)
    bench.scaled(resting)
    if resting is not None and resting.outcome in ("high", "far_too_high"):
        _too_high(bench, at_rest)
        return
    running = bench.judge(RUNNING, readings)
    sag = bench.judge(SAG, readings)
    bench.figure(sag_share, "Fall as a share of the pressure at rest", "ratio", "%",
                 static=bench["static"], running=bench["running"])  # fmt: skip
    for verdict in (running, sag):
        bench.scaled(verdict)
    if firing is not None and firing <= 0:
        bench.say("Suction while it fires: the hose is on the outlet test point, or not zeroed.")
    elif resting is not None and running is None:
        bench.say(
            "A pressure at rest clears nothing: a half-shut cock shows full pressure until gas "
            "flows. Read it at high fire too."
        )
    elif resting is not None and resting.sound and not running.sound:
        bench.say(
            "Right at rest and too low while firing: something between the main and this point "
            "throttles the flow. Look there, not at the valve."
        )


def _too_high(bench, at_rest) -> None:
    """Nothing is cleared by a running pressure while the one at rest is too high."""
    supply = bench.facts.get("fuel") == "propane" and at_rest <= HIGH_SUPPLY
    if supply and bench.is_typical("inlet_pressure_max"):
        bench.say(
            "Above the typical limit. At supplies of 37 or 50 mbar that is normal: enter the "
            "limit of the plate."
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

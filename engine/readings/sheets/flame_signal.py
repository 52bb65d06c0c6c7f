"""The microampere meter in the lead of the flame rod."""

from engine.physics.flame_signal import (
    DISPLAY_UNITS,
    mixture_trend,
    signal_loss,
    signal_reserve,
    yearly_signal_loss,
)
from engine.physics.flue_gas import excess_air_ratio, o2_from_co2
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

CURRENT = "flame_current"

ENTRIES = (
    Entry("current", "Flame current now", "current", "µA", "100 µA", "microammeter",
          feeds={"": ((CURRENT, "current"),)}),
    Entry("before", "Flame current on an earlier record", "current", "µA", "100 µA",
          "microammeter", feeds={"": ((CURRENT, "before"),)},
          help="Commissioning sheet or last service, at the same firing rate."),
    Entry("elapsed", "Years since then", "duration", "year", "60 year"),
    Entry("co2", "CO2 in the dry flue gas now", "dry_fraction", "%", "14 %", "co2_sensor",
          usual=False),
    Entry("co2_before", "CO2 on that record", "dry_fraction", "%", "14 %", "co2_sensor",
          usual=False),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Judge the current; say what was lost and whether the mixture can be why."""
    unit = bench.fact("flame_signal_unit")
    if unit == "other":
        bench.say(f"{DISPLAY_UNITS['count'].replace('counts', 'volts, per cent or counts')}.")
    verdict = bench.judge(CURRENT, {CURRENT: {"current": bench.plain("current")}})
    bench.scaled(verdict)
    now, then = bench["current"], bench["before"]
    bench.figure(signal_reserve, "Flame current over the least one", "ratio", "1", signal=now,
                 least_signal=bench.fact("flame_current_min"))  # fmt: skip
    loss = bench.figure(signal_loss, "Lost since the record", "ratio", "%", signal_now=now,
                        signal_then=then)  # fmt: skip
    bench.figure(yearly_signal_loss, "Lost in a year", "ratio", "%", signal_now=now,
                 signal_then=then, elapsed=bench["elapsed"])  # fmt: skip
    if loss is not None:
        _say(bench, loss.calculated)


LARGE = 0.3
"""From this loss on the signal has fallen and not only wavered. Judgement."""


def _say(bench, loss) -> None:
    if loss.value - 2 * loss.deviation < LARGE:
        bench.say("Against its record the signal stands: look elsewhere for the fault.")
        return
    ratios = [_ratio(bench, name) for name in ("co2_before", "co2")]
    trend = None
    if None not in ratios:
        trend = bench.attempt("Effect of the mixture", mixture_trend, *ratios)
    if trend is None:
        bench.say(
            "The signal has fallen. Enter CO2 now and then, to see whether the mixture is why."
        )
    elif trend < 0:
        bench.say(
            "The mixture has moved to where a flame gives less: settle the mixture first, then "
            "measure the signal again."
        )
    else:
        bench.say(
            "The mixture is not why it fell: look at rod, ceramic, lead, earth and the burner's "
            "own earth path."
        )


def _ratio(bench, name):
    if not bench.has(name):
        return None
    oxygen = bench.attempt("CO2", o2_from_co2, bench.plain(name), bench.fuel)
    return None if oxygen is None else excess_air_ratio(oxygen, bench.fuel)


SHEET = Sheet(
    id="flame_signal",
    title="Flame signal",
    about="Flame current, against the least the control accepts and against its own past.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("flame_current_min", "flame_signal_unit"),
    fuel=True,
)

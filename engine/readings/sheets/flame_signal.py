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


LARGE = 0.3
"""From this loss on the signal has fallen and not only wavered. Judgement."""
NO_FLAME_GIVES = 1e-3
"""A thousand times what flames give, in amperes: the unit slipped. Judgement."""


def work_out(bench: Bench) -> None:
    """Judge the current; say what was lost and whether the mixture can be why."""
    if bench.fact("flame_signal_unit") == "other":
        _by_its_own_scale(bench)
        return
    slips = [name for name in ("current", "before") if _slipped(bench, name)]
    if "current" in slips:
        return
    verdict = bench.judge(CURRENT, {CURRENT: {"current": bench.plain("current")}})
    bench.scaled(verdict)
    bench.figure(signal_reserve, "Flame current over the least one", "ratio", "1",
                 signal=bench["current"],
                 least_signal=bench.fact("flame_current_min"))  # fmt: skip
    if not slips:
        _against_record(bench, bench["current"], bench["before"], verdict)


def _by_its_own_scale(bench) -> None:
    """Volts, per cent and counts mean nothing but against themselves."""
    sentence = DISPLAY_UNITS["count"].replace("counts", "volts, per cent or counts")
    bench.say(f"{sentence[0].upper()}{sentence[1:]}.")
    _against_record(bench, bench.plain("current"), bench.plain("before"), None)


def _slipped(bench, name) -> bool:
    """Whether a current is none that a flame gives; asks what slipped."""
    current = bench.plain(name)
    if current is None or 0 <= current < NO_FLAME_GIVES:
        return False
    bench.say("Leads reversed: enter it without the minus." if current < 0 else "Was it µA?")
    return True


def _against_record(bench, now, then, verdict) -> None:
    loss = bench.figure(signal_loss, "Lost since the record", "ratio", "%", signal_now=now,
                        signal_then=then)  # fmt: skip
    bench.figure(yearly_signal_loss, "Lost in a year", "ratio", "%", signal_now=now,
                 signal_then=then, elapsed=bench["elapsed"])  # fmt: skip
    if loss is None:
        return
    lost, doubt = loss.calculated.value, 2 * loss.calculated.deviation
    if lost - doubt >= LARGE:
        _fallen(bench)
    elif verdict is None:
        bench.say(
            "Against its record the signal stands. Whether it is enough, only the maker's limit in "
            "the same unit tells."
        )
    elif verdict.sound:
        bench.say("Against its record the signal stands: look elsewhere for the fault.")
    elif lost - doubt <= 0:
        bench.say(
            "As low as on the record: it was low then already. Look at rod, earth and mixture all "
            "the same."
        )
    else:
        bench.say(
            "It has fallen by no more than a flame wavers, and yet it is low. Look at rod, earth "
            "and mixture all the same."
        )


def _fallen(bench) -> None:
    """Whether the mixture can be why it fell."""
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

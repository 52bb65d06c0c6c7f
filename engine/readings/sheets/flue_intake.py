"""The flue-gas sheet: flue gas in the intake, and what the valve is set to behind it."""

from engine.physics.flue_gas import co2_from_o2, o2_from_co2
from engine.physics.recirculation import (
    recirculated_share_from_co2,
    recirculated_share_from_o2,
    set_co2_once_mended,
    set_o2_once_mended,
)
from engine.readings.bench import Bench
from engine.readings.sheets.flue_mixture import Mixture

MORE_THAN_AIR = 0.211
"""O2 above this is more than air has: the analyser was zeroed in bad air. The cell's 0.2 points
above 20.9 %."""

AFTER = "once nothing comes back, valve untouched"


def work_out(bench: Bench, mixture: Mixture) -> None:
    """Judge the intake air; say what the valve is set to, and warn of leaning it first."""
    if bench["intake_o2"] is None and bench["intake_co2"] is None:
        return
    if bench.has("intake_o2") and bench.plain("intake_o2") > MORE_THAN_AIR:
        bench.say(
            f"{100 * bench.plain('intake_o2'):.1f} % O2 is more than air has: zeroed in bad air. "
            "This test says nothing; zero outdoors and repeat."
        )
        return
    if mixture.o2 is None:
        bench.say("Enter O2 or CO2 of the flue as well: the share that comes back needs both.")
        return
    shares = _shares(bench, mixture)
    if not shares:
        return
    worst = max(shares, key=lambda name: shares[name].nominal_value)
    if len(shares) == 2:
        one, other = shares.values()
        apart = one - other
        if abs(apart.nominal_value) > 2 * apart.std_dev:
            bench.say(
                "O2 and CO2 of the intake disagree: purge outdoors and read both again. Until "
                "then the higher share counts."
            )
    verdict = bench.judge("intake_air", _readings(bench, mixture, worst))
    if verdict is None or verdict.sound:
        return
    if bench.fact("ratio_control") == "self_calibrating":
        bench.say(
            "This boiler holds its mixture by the flame signal: the flue reads the same after the "
            "vent is mended. Mend the vent all the same."
        )
    else:
        _behind(bench, mixture, worst)


def _inputs(bench, mixture) -> dict[str, dict]:
    """What each of the two calculations takes, for what was read of the intake."""
    flue = {"o2": mixture.o2, "co2": mixture.co2}
    inputs = {
        gas: {f"intake_{gas}": bench[f"intake_{gas}"], f"flue_{gas}": flue[gas], "fuel": bench.fuel}
        for gas in flue
        if bench.has(f"intake_{gas}")
    }
    if "co2" in inputs:
        inputs["co2"]["room_co2"] = bench["room_co2"]
    return inputs


def _shares(bench, mixture) -> dict[str, object]:
    """The share that comes back, by what was read of the intake."""
    inputs = _inputs(bench, mixture)
    found = {
        name: bench.worked_out(function, title, "ratio", "%", **inputs[name])
        for name, function, title in (
            ("o2", recirculated_share_from_o2, "Flue gas in the intake, by O2"),
            ("co2", recirculated_share_from_co2, "Flue gas in the intake, by CO2"),
        )
        if name in inputs
    }
    return {name: share for name, share in found.items() if share is not None}


def _readings(bench, mixture, worst):
    """What the check is judged by: the higher of the two shares alone."""
    intake = {worst: bench.plain(f"intake_{worst}")}
    if worst == "co2":
        intake["room_co2"] = bench.plain("room_co2")
    flue = {"o2": mixture.o2.nominal_value, "co2": mixture.co2.nominal_value}
    return {"intake_air": intake, "mixture_high_fire": flue}


def _behind(bench, mixture, worst) -> None:
    """What the flue will read once mended, and what leaning the valve first would lead to."""
    low, high = (bench.fact(f"co2_{bench.rate}_{end}") for end in ("min", "max"))
    middle = (low + high) / 2
    inputs = _inputs(bench, mixture)[worst]
    if worst == "o2":
        after = bench.worked_out(set_o2_once_mended, f"O2 {AFTER}", "dry_fraction", "%",
                                 set_o2=mixture.o2, **inputs)  # fmt: skip
        after = after and bench.worked_out(co2_from_o2, f"CO2 {AFTER}", "dry_fraction", "%",
                                           o2=after, fuel=bench.fuel)  # fmt: skip
        set_o2 = bench.quietly(o2_from_co2, middle, bench.fuel)
        leaned = set_o2 and bench.quietly(
            set_o2_once_mended, set_o2=set_o2, **bench.middles(inputs)
        )
        leaned = leaned and bench.quietly(co2_from_o2, leaned, bench.fuel)
    else:
        after = bench.worked_out(set_co2_once_mended, f"CO2 {AFTER}", "dry_fraction", "%",
                                 set_co2=mixture.co2, **inputs)  # fmt: skip
        leaned = bench.quietly(set_co2_once_mended, set_co2=middle, **bench.middles(inputs))
    if after is not None:
        bench.say(_setting(bench, mixture.co2, after, low, high))
    if leaned is not None and leaned < low:
        bench.say(
            f"Leaned to {100 * middle:.1f} % now, it would show {100 * leaned:.1f} % once the vent "
            "is mended: too lean. Do not touch the screws first."
        )


def _setting(bench, now, after, low, high) -> str:
    typical = any(bench.is_typical(f"co2_{bench.rate}_{end}") for end in ("min", "max"))
    limits = "the typical limits" if typical else "its limits"
    start = (
        f"Mend the vent and {100 * now.nominal_value:.1f} % CO2 falls to about "
        f"{100 * after.nominal_value:.1f} % by itself, "
    )
    doubt = 2 * after.std_dev
    if low + doubt <= after.nominal_value <= high - doubt:
        return f"{start}within {limits}: leave the valve's screws alone."
    if low - doubt <= after.nominal_value <= high + doubt:
        return f"{start}about at {limits}: mend it, then measure again before any screw."
    return f"{start}outside {limits} too: mend the vent first, then measure again."

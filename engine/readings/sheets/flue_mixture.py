"""The flue-gas sheet: do O2 and CO2 belong together, is the mixture right, does it burn clean."""

from dataclasses import dataclass

from uncertainties import nominal_value

from engine.physics.carbon_monoxide import co_to_co2_ratio
from engine.physics.flue_gas import co2_from_o2, excess_air_ratio, o2_from_co2
from engine.physics.fuel_line import false_air_share, fuel_line_verdict
from engine.physics.fuels import FUELS
from engine.readings.bench import Bench, danger_of

MEASURED, WORKED_OUT = "measured", "worked_out"

MOSTLY_AIR = 0.15
"""From this O2 on the sample is mostly air, and tells little of a burner. Judgement."""

MUCH_CO = 1000e-6
"""From this CO on a CO2 below the line means too little air. Judgement."""

SHORT_OF_AIR = (
    "Less CO2 than belongs to the O2, and hardly any O2 or much CO: the burner is short of air"
)
"""What is said above the knowledge's advice for a burner at the edge of its air."""

LEAST_DEVIATION = 5e-4
"""No cell is better than this, whatever its owner says; two deviations are 0.1 points."""


@dataclass(frozen=True)
class Mixture:
    """O2 and CO2 to go on with, uncertain, the one worked out where only the other was read.

    `belongs` says whether both may lie on the line of the gas.
    """

    o2: object = None
    co2: object = None
    belongs: bool = True


def work_out(bench: Bench) -> Mixture:
    """Judge the line of the gas, the mixture and CO."""
    worked_out = bench.has("o2", "co2") and bench.plain("co2_basis") != MEASURED
    belongs = _fuel_line(bench, worked_out)
    o2, co2 = _pair(bench, belongs, worked_out)
    read = {"o2": bench.plain("o2"), "co2": None if worked_out else bench.plain("co2")}
    mostly_air = o2 is not None and o2.nominal_value > MOSTLY_AIR
    if mostly_air:
        bench.say("That is mostly air: look at probe, hose and burner before you judge anything.")
    _judge(bench, read, co2, only_danger=mostly_air or not (belongs or worked_out))
    _carbon_monoxide(bench, o2, co2, mostly_air)
    return Mixture(o2, co2, belongs)


def _middle(value) -> float | None:
    return None if value is None else nominal_value(value)


def _fuel_line(bench, worked_out) -> bool:
    """Whether O2 and CO2 belong to this gas; says what is wrong when they do not."""
    if not bench.has("o2", "co2"):
        return True
    o2, co2 = bench["o2"], bench["co2"]
    verdict = bench.attempt(
        "O2 and CO2 together", fuel_line_verdict, o2.nominal_value, co2.nominal_value,
        bench.fuel, max(o2.std_dev, LEAST_DEVIATION), max(co2.std_dev, LEAST_DEVIATION),
    )  # fmt: skip
    if verdict is None:
        return True
    if verdict.fits:
        if not worked_out:
            bench.say("O2 and CO2 belong together for this gas: both cells can be believed.")
        return True
    kinds = {}
    for explanation in verdict.explanations:
        kinds.setdefault(explanation.kind, explanation)
    much_co = bench.has("co") and bench.plain("co") > MUCH_CO
    if "too_little_air" in kinds or (verdict.gap < 0 and much_co):
        check = bench.knowledge.checks[f"mixture_{bench.rate}_fire"]
        edge = check.outcomes["no_air_to_spare"].danger
        bench.halt(danger_of(f"mixture_{bench.rate}_fire", "no_air_to_spare", SHORT_OF_AIR, edge))
        return False
    bench.go_on_with("fuel_identity", "O2 and CO2 do not belong together")
    if worked_out:
        _wrongly_reckoned(bench, kinds)
    else:
        _disagree(bench, kinds.values())
    return False


def _wrongly_reckoned(bench, kinds) -> None:
    """An analyser that works CO2 out can only have been told another gas."""
    other = kinds.get("wrong_fuel_set")
    if other is None:
        bench.say("No gas gives this pair of O2 and CO2: were both read at the same moment?")
        return
    bench.say(
        f"This CO2 was reckoned for {_gas(other.fuel)}, not {_gas(bench.fuel.name)}: set the "
        "analyser right. Here the O2 alone is judged."
    )


def _disagree(bench, explanations) -> None:
    bench.say(
        f"O2 and CO2 do not belong together for {_gas(bench.fuel.name)}: settle that before you "
        "judge the mixture."
    )
    for explanation in list(explanations)[:2]:
        if explanation.kind == "wrong_fuel_set":
            bench.say(
                f"They would belong together for {_gas(explanation.fuel)}: does it burn that?"
            )
        else:
            cell = "CO2 sensor" if explanation.kind.startswith("co2") else "O2 cell"
            side = "low" if explanation.kind.endswith("low") else "high"
            bench.say(
                f"The {cell} would have to read {100 * explanation.wrong_by:.1f} points too "
                f"{side}: zero it outdoors and read both again."
            )


def _gas(name) -> str:
    """A gas in a sentence; its kind only where that is the point."""
    called = FUELS[name].called if name in FUELS else name
    return (called if "hydrogen" in name else called.partition(",")[0]).lower()


def _pair(bench, belongs, worked_out):
    """O2 and CO2; the O2 is believed where the CO2 was reckoned for another gas."""
    o2, co2, fuel = bench["o2"], bench["co2"], bench.fuel
    if co2 is not None and o2 is None:
        o2 = bench.worked_out(
            o2_from_co2, "O2 that belongs to it", "dry_fraction", "%", co2=co2, fuel=fuel,
        )  # fmt: skip
    elif o2 is not None and (co2 is None or (worked_out and not belongs)):
        co2 = bench.worked_out(
            co2_from_o2, "CO2 that belongs to it", "dry_fraction", "%", o2=o2, fuel=fuel,
        )  # fmt: skip
    bench.figure(excess_air_ratio, "Excess air ratio, lambda", "ratio", "1", o2=o2, fuel=fuel)
    return o2, co2


def _judge(bench, read, co2, only_danger) -> None:
    check = f"mixture_{bench.rate}_fire"
    verdict = bench.judge(check, {check: read}, only_danger=only_danger, explained=False)
    if verdict is None:
        return
    low, high = (bench.fact(f"co2_{bench.rate}_{end}") for end in ("min", "max"))
    if dict(bench.fuel.composition).get("H2") and bench.is_typical(f"co2_{bench.rate}_min"):
        bench.say("The typical CO2 limits are those of gas without hydrogen: take the maker's.")
    if verdict.outcome == "lean":
        _false_air(bench, co2, (low + high) / 2)


def limits_in_o2(bench: Bench) -> None:
    """The boiler's CO2 limits as O2, for an analyser that shows O2."""
    low, high = (bench.fact(f"co2_{bench.rate}_{end}") for end in ("min", "max"))
    most, least = (bench.quietly(o2_from_co2, limit, bench.fuel) for limit in (low, high))
    if most is not None and least is not None:
        bench.say(
            f"CO2 {100 * low:.1f} to {100 * high:.1f} % is O2 {100 * most:.1f} to "
            f"{100 * least:.1f} % with this gas."
        )


def _false_air(bench, co2, expected) -> None:
    """A leak into the sample looks just like a lean mixture: how large a one would do it."""
    share = bench.quietly(false_air_share, expected, nominal_value(co2))
    if share is not None:
        bench.say(
            f"Air leaking into the sample looks just the same, {100 * share:.0f} % of it would do: "
            "do the pinch test before you believe a lean mixture."
        )


def _carbon_monoxide(bench, o2, co2, mostly_air) -> None:
    if bench["co"] is None:
        return
    check = f"co_{bench.rate}_fire"
    readings = {check: {"co": bench.plain("co"), "o2": _middle(o2)}}
    verdict = bench.judge(check, readings, only_danger=mostly_air)
    bench.scaled(verdict)
    if o2 is None and verdict is None:
        bench.say("Enter O2 or CO2 of the same moment: CO air-free is higher than what was read.")
    bench.figure(co_to_co2_ratio, "CO to CO2", "ratio", "1", co=bench["co"], co2=co2)

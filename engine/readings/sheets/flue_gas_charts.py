"""The pictures of the flue-gas sheet: O2 against CO2, and dew point against excess air."""

import numpy as np
from uncertainties import nominal_value, std_dev

from engine.physics.flue_gas import co2_from_o2, excess_air_ratio, o2_from_co2
from engine.physics.fuels import AIR_OXYGEN, FUELS
from engine.physics.intake_air import co2_with_air_changed, o2_with_air_changed
from engine.physics.moisture import flue_dew_point
from engine.readings.pictures import Axis, Chart, Field, Line, Move, Point, Rule
from engine.readings.sheets.flue_mixture import MEASURED

COMES_BACK = 0.05  # share of flue gas in the intake whose effect is shown
LEAKS_IN = 0.10  # share of air in the sample whose effect is shown
CELL_OFF = 0.01  # fall of an O2 cell's reading whose effect is shown

ABSOLUTE_ZERO = 273.15


def plane(bench, mixture) -> Chart:
    """O2 against CO2: the line of the gas, the field of this boiler, the point, what moves it."""
    o2 = mixture.o2
    co2 = bench["co2"] if bench.has("co2") else mixture.co2  # as it stands on the analyser
    belongs = mixture.belongs
    x, y = 100 * nominal_value(o2), 100 * nominal_value(co2)
    fuel, other = bench.fuel, _other(bench.fuel)
    limits = [100 * bench.fact(f"co2_{bench.rate}_{end}") for end in ("min", "max")]
    target = tuple(sorted(100 * o2_from_co2(limit / 100, fuel) for limit in limits))
    name = fuel.called
    return Chart(
        title="O2 and CO2",
        x=Axis("O2, dry [%]", 0.0, 12.0 if x <= 11.5 else 21.0),
        y=Axis("CO2, dry [%]", 0.0 if y < 4 else 4.0, max(14.0, y + 1)),
        words=(
            f"O2 {x:.1f} %, CO2 {y:.1f} %; the field of this boiler is CO2 {limits[0]:.1f} to "
            f"{limits[1]:.1f} %. {_on_the_line(bench, belongs)}"
        ),
        lines=(
            Line(name, _line(fuel)),
            Line(other.called, _line(other), main=False),
        ),
        fields=(Field("This boiler", target, tuple(limits)),),
        points=(
            Point("Worked out" if _reckoned(bench) else "Measured", x, y, 200 * std_dev(o2),
                  200 * std_dev(co2)),
        ),
        moves=_moves(bench, x / 100, y / 100, fuel, other),
    )  # fmt: skip


def _reckoned(bench) -> bool:
    """Whether one of the two was worked out from the other, here or in the analyser."""
    return not bench.has("o2", "co2") or bench.plain("co2_basis") != MEASURED


def _on_the_line(bench, belongs) -> str:
    along = (
        "Flue gas in the intake makes it richer along the line, air in the sample leaner along "
        "the line"
    )
    if _reckoned(bench) and belongs:
        return f"One is worked out from the other: the point lies on the line by itself. {along}."
    lies = "lies" if belongs else "does not lie"
    return (
        f"The point {lies} on the line of this gas. {along}; a wrong gas or a tired O2 cell takes "
        "it off the line."
    )


def _other(fuel):
    """The gas whose line is shown for comparison."""
    return FUELS["natural_gas" if "propane" in fuel.name else "propane"]


def _line(fuel) -> tuple[tuple[float, float], ...]:
    return (0.0, 100 * fuel.co2_max_dry), (100 * AIR_OXYGEN, 0.0)


def _moves(bench, o2, co2, fuel, other) -> tuple[Move, ...]:
    start = (100 * o2, 100 * co2)

    def move(name, to):
        end = bench.quietly(to)
        return () if end is None else (Move(name, start, (100 * end[0], 100 * end[1])),)

    richer = 1 - COMES_BACK
    off_the_line = () if not bench.has("o2", "co2") else (
        *move(f"analyser set to {other.called.lower()}", lambda: (o2, co2_from_o2(o2, other))),
        *move("tired O2 cell", lambda: (max(o2 - CELL_OFF, 0.0), co2)),
    )  # fmt: skip
    return (
        *move(
            f"{100 * COMES_BACK:.0f} % flue gas comes back",
            lambda: (
                o2_with_air_changed(o2, fuel, richer),
                co2_with_air_changed(co2, fuel, richer),
            ),
        ),
        *move(
            f"{100 * LEAKS_IN:.0f} % air in the sample",
            lambda: (o2 + LEAKS_IN * (AIR_OXYGEN - o2), co2 * (1 - LEAKS_IN)),
        ),
        *off_the_line,
    )


def dew_points(bench, o2, humidity) -> Chart:
    """Dew point against excess air, with the temperatures that were read."""
    fuel, absolute_pressure = bench.fuel, bench.air_pressure()
    oxygen = np.linspace(0.0, max(0.12, nominal_value(o2)), 49)
    ratios = excess_air_ratio(oxygen, fuel)
    curve = flue_dew_point(oxygen, fuel, absolute_pressure, humidity) - ABSOLUTE_ZERO
    at = nominal_value(o2)
    ratio = excess_air_ratio(at, fuel)
    dew = flue_dew_point(at, fuel, absolute_pressure, humidity) - ABSOLUTE_ZERO
    rules = tuple(
        Rule(name, bench.plain(entry) - ABSOLUTE_ZERO)
        for name, entry in (("Flue gas", "flue"), ("Return water", "return"))
        if bench.has(entry)
    )
    temperatures = [*curve, *(rule.at for rule in rules)]
    return Chart(
        title="Dew point of the flue gas",
        x=Axis("Excess air ratio", 1.0, float(max(2.0, ratio + 0.2))),
        y=Axis(
            "Temperature [°C]", float(min(30.0, *temperatures) - 5), float(max(temperatures) + 5)
        ),
        words=(
            f"At an excess air ratio of {ratio:.2f} water begins to condense at {dew:.0f} °C "
            f"({1.8 * dew + 32:.0f} °F). Below the curve it condenses, above it does not."
        ),
        lines=(Line("Dew point", tuple(zip(map(float, ratios), map(float, curve), strict=True))),),
        points=(Point("Here", float(ratio), float(dew)),),
        rules=rules,
    )

"""The flue-gas analyser: mixture, CO, recirculated flue gas, dew point and losses."""

from engine.physics.atmosphere import standard_pressure
from engine.physics.flue_gas import (
    co2_from_o2,
    co_air_free,
    co_to_co2_ratio,
    excess_air_ratio,
    o2_from_co2,
)
from engine.physics.fuel_line import false_air_share, fuel_line_verdict
from engine.physics.fuels import FUELS
from engine.physics.intake_air import shifted_co2
from engine.physics.losses import (
    condensed_share,
    efficiency_gross,
    efficiency_net,
    latent_loss_gross,
    sensible_loss_gross,
)
from engine.physics.moisture import air_humidity, flue_dew_point
from engine.physics.recirculation import (
    recirculated_share_from_co2,
    recirculated_share_from_o2,
    set_co2_once_mended,
    set_o2_once_mended,
)
from engine.physics.siegert import siegert_loss_net_from_o2
from engine.readings import words
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet
from engine.readings.sheets import flue_gas_charts as charts

RATES = {"high": "High fire", "low": "Low fire"}
MEASURED, WORKED_OUT = "measured", "worked_out"


def _fed(mixture=None, co=None):
    """The fields of the mixture check and of the CO check that take a value, at each rate."""
    return {
        rate: tuple(
            (f"{check}_{rate}_fire", field)
            for check, field in (("mixture", mixture), ("co", co))
            if field
        )
        for rate in RATES
    }


ENTRIES = (
    Entry("o2", "O2 in the dry flue gas", "dry_fraction", "%", "21 %", "o2_cell",
          feeds=_fed(mixture="o2", co="o2")),
    Entry("co2", "CO2 in the dry flue gas", "dry_fraction", "%", "14 %", "co2_sensor",
          feeds=_fed(mixture="co2")),
    Entry("co2_basis", "How the analyser gets its CO2", assumed=WORKED_OUT,
          choices={WORKED_OUT: "Works it out from O2", MEASURED: "Measures it"},
          help="Most analysers measure O2 and work CO2 out. The manual says which."),
    Entry("co", "CO as measured", "dry_fraction", "ppm", "10000 ppm", "co_cell",
          feeds=_fed(co="co")),
    Entry("flue", "Flue gas temperature", "temperature", "°C", "250 °C", "flue_thermocouple",
          feeds={"high": (("flue_temperature_rise", "flue"),)}),
    Entry("return", "Return water temperature", "temperature", "°C", "100 °C",
          "contact_thermometer", feeds={"high": (("flue_temperature_rise", "return"),)}),
    Entry("intake_o2", "O2 in the intake", "dry_fraction", "%", "21.5 %", "o2_cell",
          feeds={"high": (("intake_air", "o2"),)}, usual=False),
    Entry("intake_co2", "CO2 in the intake, measured", "dry_fraction", "%", "8 %",
          "co2_sensor_low", feeds={"high": (("intake_air", "co2"),)}, usual=False),
    Entry("room_co2", "CO2 of the fresh air", "dry_fraction", "ppm", "10000 ppm",
          assumed="400 ppm", usual=False,
          help="Measure it where people or other appliances share the air."),
    Entry("air", "Temperature of the combustion air", "temperature", "°C", "50 °C",
          assumed="20 °C", usual=False),
    Entry("air_humidity", "Relative humidity of that air", "ratio", "%", "100 %",
          assumed="50 %", usual=False),
    Entry("air_when_set", "Air temperature on the day the valve was set", "temperature", "°C",
          "50 °C", usual=False),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Judge fuel line, mixture, CO and intake air; work out dew point and losses."""
    readings = _readings(bench)
    belongs = _fuel_line(bench, readings)
    mixture = bench.judge(f"mixture_{bench.rate}_fire", readings, leads_on=belongs)
    o2, co2 = _mixture(bench)
    if belongs and mixture is not None and mixture.outcome == "lean":
        _false_air(bench, co2)
    _carbon_monoxide(bench, readings, o2, co2)
    _intake(bench, readings, o2, co2)
    _heat(bench, readings, o2)
    _weather(bench, co2)
    if mixture is not None and o2 is not None and co2 is not None:
        air = _pressure(bench), _humidity(bench)
        for picture in (
            bench.attempt("O2 and CO2", charts.plane, bench, o2, co2, belongs),
            bench.attempt("Dew point", charts.dew_points, bench, o2, *air),
        ):
            if picture is not None:
                bench.draw(picture)


def _readings(bench):
    """What the checks of the knowledge are judged by, by check and field."""
    mixture = {"o2": bench.plain("o2"), "co2": bench.plain("co2")}
    return {
        "mixture_high_fire": mixture,
        f"mixture_{bench.rate}_fire": mixture,
        f"co_{bench.rate}_fire": {"co": bench.plain("co"), "o2": bench.plain("o2")},
        "intake_air": {"o2": bench.plain("intake_o2"), "co2": bench.plain("intake_co2")},
        "flue_temperature_rise": {"flue": bench.plain("flue"), "return": bench.plain("return")},
    }


def _mixture(bench):
    """O2 and CO2, the one worked out from the other where only one was read."""
    o2, co2 = bench["o2"], bench["co2"]
    fuel = bench.fuel
    if o2 is None and co2 is not None:
        o2 = bench.worked_out(o2_from_co2, "O2 that belongs to it", "dry_fraction", "%",
                              co2=co2, fuel=fuel)  # fmt: skip
    elif co2 is None and o2 is not None:
        co2 = bench.worked_out(co2_from_o2, "CO2 that belongs to it", "dry_fraction", "%",
                               o2=o2, fuel=fuel)  # fmt: skip
    bench.figure(excess_air_ratio, "Excess air ratio", "ratio", "1", o2=o2, fuel=fuel)
    return o2, co2


def _false_air(bench, co2) -> None:
    """A leak into the sample looks just like a lean mixture: how large a one would do it."""
    low, high = (bench.fact(f"co2_{bench.rate}_{end}") for end in ("min", "max"))
    share = bench.attempt("Air in the sample", false_air_share, (low + high) / 2, co2.nominal_value)
    if share is not None:
        bench.say(
            f"Air leaking into the sample looks just the same, {100 * share:.0f} % of it would do: "
            "do the pinch test before you believe a lean mixture."
        )


def _fuel_line(bench, readings) -> bool:
    """Whether O2 and CO2 belong to this gas; says what is wrong when they do not."""
    if not bench.has("o2", "co2"):
        return True
    o2, co2 = bench["o2"], bench["co2"]
    verdict = bench.attempt(
        "O2 and CO2 together", fuel_line_verdict, o2.nominal_value, co2.nominal_value,
        bench.fuel, o2.std_dev, co2.std_dev,
    )  # fmt: skip
    worked_out = bench.plain("co2_basis") != MEASURED
    if not (worked_out and verdict is not None and verdict.fits):  # it always agrees with itself
        bench.judge("fuel_line_agreement", readings)
    if verdict is None or verdict.fits:
        return verdict is not None
    bench.say(
        f"O2 and CO2 do not belong together for {_gas(bench.fuel)}: "
        "settle that before you judge the boiler."
    )
    for explanation in _likely(verdict.explanations, worked_out)[:2]:
        bench.say(_in_words(explanation, worked_out))
    return False


def _likely(explanations, worked_out):
    """Each kind once, the most believable first.

    An analyser that works CO2 out has no CO2 cell to doubt, and its O2 cell moves both figures.
    """
    kinds = {}
    for explanation in explanations:
        if not worked_out or explanation.kind in ("too_little_air", "wrong_fuel_set"):
            kinds.setdefault(explanation.kind, explanation)
    return list(kinds.values())


def _gas(fuel) -> str:
    """A gas in a sentence, without its kind."""
    return fuel.called.partition(",")[0].lower()


def _in_words(explanation, worked_out) -> str:
    points = f"{100 * explanation.wrong_by:.1f} points"
    if explanation.kind == "too_little_air":
        return (
            "Hardly any O2, and less CO2 than belongs to it: the burner is short of air. "
            "Shut it down and look at CO before anything else."
        )
    if explanation.kind == "wrong_fuel_set":
        gas = _gas(FUELS[explanation.fuel])
        asks = "is the analyser set to that gas?" if worked_out else "does the boiler burn it?"
        return f"They would belong together for {gas}: {asks}"
    cell, side = ("O2 cell", "CO2 sensor")["co2" in explanation.kind], explanation.kind[-4:]
    wrong = "low" if side.endswith("low") else "high"
    return f"Or the {cell} reads {points} too {wrong}: zero it outdoors and read again."


def _carbon_monoxide(bench, readings, o2, co2) -> None:
    if bench["co"] is None:
        return
    bench.scaled(bench.judge(f"co_{bench.rate}_fire", readings))
    if o2 is None:
        bench.say("Enter O2 of the same moment: without it CO cannot be corrected to air-free.")
    elif not bench.has("o2"):
        bench.figure(co_air_free, "CO air-free", "dry_fraction", "ppm", co=bench["co"], o2=o2)
    bench.figure(co_to_co2_ratio, "CO to CO2", "ratio", "1", co=bench["co"], co2=co2)


def _intake(bench, readings, o2, co2) -> None:
    """How much flue gas comes back, what the valve is set to behind it, and the warning."""
    if bench["intake_o2"] is None and bench["intake_co2"] is None:
        return
    if o2 is None:
        bench.say("Enter O2 or CO2 of the flue as well: the share that comes back needs both.")
    verdict = bench.judge("intake_air", readings)
    if o2 is None or co2 is None:
        return
    fuel = bench.fuel
    from_o2 = {"intake_o2": bench["intake_o2"], "flue_o2": o2, "fuel": fuel}
    from_co2 = {"intake_co2": bench["intake_co2"], "flue_co2": co2, "fuel": fuel,
                "room_co2": bench["room_co2"]}  # fmt: skip
    for function, title, inputs in (
        (recirculated_share_from_o2, "Flue gas in the intake, by O2", from_o2),
        (recirculated_share_from_co2, "Flue gas in the intake, by CO2", from_co2),
    ):
        bench.figure(function, title, "ratio", "%", **inputs)
    if verdict is None or verdict.sound:
        return
    if bench.fact("ratio_control") == "self_calibrating":
        bench.say(
            "This boiler holds its mixture by the flame signal: the flue reads the same after the "
            "vent is mended. Mend the vent all the same."
        )
        return
    if from_o2["intake_o2"] is not None:
        inputs = {**from_o2, "set_o2": o2}
        after = bench.worked_out(
            set_o2_once_mended, "O2 once nothing comes back, valve untouched", "dry_fraction", "%",
            **inputs,
        )  # fmt: skip
        after = after and bench.worked_out(
            co2_from_o2, "CO2 once nothing comes back, valve untouched", "dry_fraction", "%",
            o2=after, fuel=fuel,
        )  # fmt: skip
    else:
        after = bench.worked_out(
            set_co2_once_mended, "CO2 once nothing comes back, valve untouched", "dry_fraction",
            "%", **from_co2, set_co2=co2,
        )  # fmt: skip
    if after is not None:
        _warn(bench, after, from_o2, from_co2)


def _warn(bench, after, from_o2, from_co2) -> None:
    low, high = (bench.fact(f"co2_{bench.rate}_{end}") for end in ("min", "max"))
    inside = low <= after.nominal_value < high
    bench.say(
        f"Behind the flue gas that comes back the valve is set to {100 * after.nominal_value:.1f} "
        "% CO2, "
        + ("within its limits: leave its screws alone and mend the vent." if inside
           else "outside its limits too: mend the vent first, then measure again.")
    )  # fmt: skip
    middle = (low + high) / 2
    if from_o2["intake_o2"] is not None:
        target = {"set_o2": o2_from_co2(middle, bench.fuel), **from_o2}
        leaned = bench.attempt("Leaned first", set_o2_once_mended, **bench.middles(target))
        leaned = leaned and co2_from_o2(leaned, bench.fuel)
    else:
        target = {"set_co2": middle, **from_co2}
        leaned = bench.attempt("Leaned first", set_co2_once_mended, **bench.middles(target))
    if leaned is not None:
        lean = "too lean" if leaned < low else "leaner"
        bench.say(
            f"Set to {100 * middle:.1f} % now, it would show {100 * leaned:.1f} % once the vent "
            f"is mended: {lean}."
        )


def _pressure(bench) -> float:
    altitude = bench.fact("altitude")
    return standard_pressure(altitude if altitude is not None else 0.0)


def _humidity(bench) -> float:
    """Water in the combustion air; it is small, and its doubt smaller."""
    if not bench.has("air", "air_humidity"):
        return 0.0
    return bench.attempt(
        "Humidity of the air", air_humidity, bench.plain("air"), bench.plain("air_humidity"),
        _pressure(bench),
    ) or 0.0  # fmt: skip


def _heat(bench, readings, o2) -> None:
    if bench["flue"] is not None and bench["return"] is not None and bench.rate == "high":
        bench.scaled(bench.judge("flue_temperature_rise", readings))
    pressure, humidity = _pressure(bench), _humidity(bench)
    air = {"absolute_pressure": pressure, "air_humidity": humidity}
    dew = bench.worked_out(flue_dew_point, "Dew point of the flue gas", "temperature", "°C",
                           o2=o2, fuel=bench.fuel, **air)  # fmt: skip
    if dew is None:
        return
    given = {"flue_temperature": bench["flue"], "o2": o2, "fuel": bench.fuel}
    with_air = {**given, "air_temperature": bench["air"], **air}
    for function, title in (
        (sensible_loss_gross, "Loss with the warm flue gas, gross"),
        (latent_loss_gross, "Loss with water left as vapour, gross"),
    ):
        bench.figure(function, title, "ratio", "%", **with_air)
    bench.figure(efficiency_gross, "Combustion efficiency, gross", "ratio", "%", **with_air)
    bench.figure(efficiency_net, "Combustion efficiency, net", "ratio", "%", **with_air,
                 note="may pass 100 %: net leaves the water's heat out")  # fmt: skip
    if bench["flue"] is None:
        if bench["return"] is not None and bench.plain("return") > dew.nominal_value:
            bench.say(
                f"The return is at {words.celsius(bench.plain('return'))}, above the dew point of "
                f"{words.celsius(dew.nominal_value)}: it cannot condense."
            )
        return
    if bench.plain("flue") < dew.nominal_value:
        share = bench.figure(condensed_share, "Water condensed on the way", "ratio", "%",
                             **given, **air)  # fmt: skip
        if share:
            bench.say(
                f"The flue gas leaves at {words.celsius(bench.plain('flue'))}, below its dew point "
                f"of {words.celsius(dew.nominal_value)}: it condenses, about {share.shown} of its "
                "water at best."
            )
    else:
        bench.figure(siegert_loss_net_from_o2, "Flue loss by Siegert's formula, net", "ratio", "%",
                     flue_temperature=bench["flue"], air_temperature=bench["air"], o2=o2,
                     fuel=bench.fuel, note="holds without condensation only")  # fmt: skip
        bench.say(
            f"The flue gas leaves at {words.celsius(bench.plain('flue'))}, above its dew point of "
            f"{words.celsius(dew.nominal_value)}: it does not condense."
        )


def _weather(bench, co2) -> None:
    """What the mixture would show on the day it was set."""
    if bench["air_when_set"] is None or bench.fact("ratio_control") == "self_calibrating":
        return
    bench.figure(
        shifted_co2, "CO2 with the air as warm as on the day it was set", "dry_fraction", "%",
        flue_co2=co2, fuel=bench.fuel, set_temperature=bench["air"],
        intake_temperature=bench["air_when_set"],
    )  # fmt: skip


SHEET = Sheet(
    id="flue_gas",
    title="Flue gas",
    about="What a flue-gas analyser shows in the test port, and in the intake.",
    entries=ENTRIES,
    work_out=work_out,
    facts=(
        "co2_high_min", "co2_high_max", "co2_low_min", "co2_low_max", "co_limit", "altitude",
        "ratio_control",
    ),
    rates=RATES,
    fuel=True,
)  # fmt: skip

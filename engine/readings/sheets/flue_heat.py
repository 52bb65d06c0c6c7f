"""The flue-gas sheet: dew point, losses and efficiency, and the weather behind a reading."""

from engine.physics.intake_air import shifted_co2
from engine.physics.losses import (
    condensed_share,
    efficiency_gross,
    efficiency_net,
    latent_loss_gross,
    sensible_loss_gross,
)
from engine.physics.moisture import air_humidity, flue_dew_point
from engine.physics.siegert import siegert_loss_net_from_o2
from engine.readings import words
from engine.readings.bench import Bench
from engine.readings.sheets.flue_mixture import Mixture

RISE = "flue_temperature_rise"

DEW_POINT_OFF = 0.8  # K, one deviation: air from dry to damp moves it up to 1.6 K to either side
LOSS_OFF = 0.0025  # one deviation: heat taken at 25 °C, gas and air as supplied
COLDER = 2.0  # K below the return from which a reading is wrong; the thermometers' own error
PVC_AT_MOST = 338.15
"""65 °C (149 °F), the lowest vent class of ULC S636, as trade articles quote it; PVC lies there."""
PLASTIC_AT_MOST = 363.15
"""90 °C (194 °F), the next class of ULC S636, as trade articles quote it; few are above."""


def work_out(bench: Bench, mixture: Mixture) -> None:
    """Judge the flue temperature; work out dew point and losses."""
    flue, back = bench.plain("flue"), bench.plain("return")
    sound = True
    if flue is not None:
        _too_hot(bench, flue)
        if back is not None:
            sound = _above_return(bench, flue, back)
    if mixture.o2 is not None and sound:
        _condensing(bench, mixture.o2, flue, back)
    _weather(bench, mixture.co2)


def humidity(bench: Bench) -> float:
    """Water in the combustion air [mol per mol of dry air]."""
    found = bench.attempt(
        "Humidity of the air", air_humidity, bench.plain("air"), bench.plain("air_humidity"),
        bench.air_pressure(),
    ) if bench.has("air", "air_humidity") else None  # fmt: skip
    bench.used |= {"air", "air_humidity"}
    return found or 0.0


def _too_hot(bench, flue) -> None:
    if flue >= PLASTIC_AT_MOST:
        bench.say(
            f"{words.celsius(flue)} is more than plastic vents commonly stand: stop the burner, "
            "unless the vent is metal or its class is above this."
        )
    elif flue >= PVC_AT_MOST:
        bench.say(
            f"{words.celsius(flue)} is more than PVC vent is commonly allowed: read the class on "
            "the pipe."
        )


def _above_return(bench, flue, back) -> bool:
    """Whether the pair of temperatures can be; judged at high fire."""
    if flue < back - COLDER:
        bench.say(
            "The flue gas reads colder than the return, which cannot be: air round the probe, "
            "probe not in the stream, or the return read at the wrong pipe."
        )
        return False
    if bench.rate == "high":
        bench.scaled(bench.judge(RISE, {RISE: {"flue": flue, "return": back}}))
    return True


def _condensing(bench, o2, flue, back) -> None:
    air = {"absolute_pressure": bench.air_pressure(), "air_humidity": humidity(bench)}
    gas = {"o2": o2, "fuel": bench.fuel}
    dew = bench.worked_out(flue_dew_point, "Dew point of the flue gas", "temperature", "°C",
                           **gas, **air, own_deviation=DEW_POINT_OFF)  # fmt: skip
    if dew is None:
        return
    if flue is None:
        if back is not None and back > dew.nominal_value + 2 * dew.std_dev:
            bench.say(
                f"The return is at {words.celsius(back)}, above the dew point of "
                f"{words.celsius(dew.nominal_value)}: it cannot condense."
            )
        return
    _losses(bench, {"flue_temperature": bench["flue"], **gas}, air)
    above = bench["flue"] - dew
    if abs(above.nominal_value) <= 2 * above.std_dev:
        bench.say(
            f"The flue gas leaves at its dew point of {words.celsius(dew.nominal_value)}: it may "
            "condense or not."
        )
    elif above.nominal_value < 0:
        share = bench.figure(condensed_share, "Water condensed on the way", "ratio", "%",
                             flue_temperature=bench["flue"], **gas, **air)  # fmt: skip
        if share:
            bench.say(
                f"The flue gas leaves at {words.celsius(flue)}, below its dew point of "
                f"{words.celsius(dew.nominal_value)}: it condenses, about {share.shown} of its "
                "water at best."
            )
    else:
        cold = back is not None and back < dew.nominal_value
        bench.say(
            f"The flue gas leaves at {words.celsius(flue)}, above its dew point of "
            f"{words.celsius(dew.nominal_value)}: it hardly condenses"
            + (", though the coldest tubes may drip." if cold else ". A long cold vent may drip.")
        )


def _losses(bench, given, air) -> None:
    with_air = {**given, "air_temperature": bench["air"], **air, "own_deviation": LOSS_OFF}
    for function, title, note in (
        (sensible_loss_gross, "Loss with the warm flue gas, gross", ""),
        (latent_loss_gross, "Loss with water left as vapour, gross", ""),
        (efficiency_gross, "Combustion efficiency, gross", ""),
        (efficiency_net, "Combustion efficiency, net", "may pass 100 %: net leaves the water out"),
    ):
        bench.figure(function, title, "ratio", "%", **with_air, note=note)
    if bench.quietly(condensed_share, **bench.middles(given)) == 0:
        bench.figure(siegert_loss_net_from_o2, "Flue loss by Siegert's formula, net", "ratio", "%",
                     **given, air_temperature=bench["air"], own_deviation=LOSS_OFF,
                     note="holds without condensation only")  # fmt: skip


def _weather(bench, co2) -> None:
    """What the mixture would show on the day it was set; only by a measured air temperature."""
    held = bench.fact("ratio_control") == "self_calibrating"
    if held or not (bench.typed("air") and bench.has("air_when_set")):
        return
    bench.figure(
        shifted_co2, "CO2 with the air as warm as on the day it was set", "dry_fraction", "%",
        flue_co2=co2, fuel=bench.fuel, set_temperature=bench["air"],
        intake_temperature=bench["air_when_set"],
    )  # fmt: skip

"""Ohmmeter and thermometer on a temperature sensor: does it tell the truth?"""

import numpy as np

from engine.physics.ntc import resistance_by_beta, temperature_by_beta
from engine.physics.platinum import platinum_tolerance
from engine.physics.sensors import (
    CURVES,
    curves_by_fit,
    sensor_mismatch,
    sensor_resistance,
    sensor_temperature,
)
from engine.readings import words
from engine.readings.bench import Bench
from engine.readings.pictures import Axis, Chart, Line, Point
from engine.readings.sheet import Entry, Sheet

KINDS = {
    "ntc_10k_3977": "NTC, 10 kΩ at 25 °C, B 3977 K",
    "ntc_10k_3695": "NTC, 10 kΩ at 25 °C, B 3695 K",
    "ntc_10k_3435": "NTC, 10 kΩ at 25 °C, B 3435 K",
    "ntc_12k_3740": "NTC, 12 kΩ at 25 °C, B 3740 K",
    "ntc_5k_3540": "NTC, 5 kΩ at 25 °C, B 3540 K",
    "ntc_5k_3960": "NTC, 5 kΩ at 25 °C, B 3960 K",
    "ntc_20k_4260": "NTC, 20 kΩ at 25 °C, B 4260 K",
    "silicon_1k": "Silicon PTC, 1 kΩ at 25 °C",
    "pt100": "Platinum, 100 Ω at 0 °C",
    "pt1000": "Platinum, 1000 Ω at 0 °C",
}
BY_BETA = "by_beta"
OFF = 3.0
"""A sound sensor agrees with a good contact thermometer within this, in kelvin. Common practice, no
source."""
BLUNT = 5.0
"""From this doubt on instruments clear no sensor, in kelvin. Judgement."""
SHOWN = (263.15, 373.15)  # K, the stretch of the curve that is drawn

ENTRIES = (
    Entry("resistance", "Resistance, plug off the sensor", "resistance", "kΩ", "300 kΩ",
          "sensor_ohmmeter"),
    Entry("thermometer", "Thermometer at the same spot", "temperature", "°C", "110 °C",
          "contact_thermometer"),
    Entry("curve", "Kind of sensor by the manual", assumed="ntc_10k_3977",
          choices={name: KINDS[name] for name in CURVES} | {BY_BETA: "NTC by its own R25 and B"}),
    Entry("r25", "Resistance at 25 °C by the data sheet", "resistance", "kΩ", "300 kΩ",
          usual=False),
    Entry("beta", "B value by the data sheet", "temperature_difference", "K", "6000 K",
          usual=False),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Work out the temperature behind the resistance, and compare."""
    curve, resistance, thermometer = bench["curve"], bench["resistance"], bench["thermometer"]
    if curve is None:
        return
    if curve == BY_BETA:
        _by_beta(bench, resistance, thermometer)
        return
    bench.figure(sensor_resistance, "Resistance it should show", "resistance", "kΩ",
                 temperature=thermometer, curve=curve)  # fmt: skip
    behind = bench.worked_out(sensor_temperature, "Temperature behind the resistance",
                              "temperature", "°C", resistance=resistance, curve=curve)  # fmt: skip
    if curve.startswith("pt"):
        bench.figure(platinum_tolerance, "A sound one of class B may be off by",
                     "temperature_difference", "K", temperature=thermometer,
                     tolerance_class="B")  # fmt: skip
    mismatch = bench.worked_out(
        sensor_mismatch, "Sensor above thermometer", "temperature_difference", "K",
        resistance=resistance, thermometer_temperature=thermometer, curve=curve,
    )  # fmt: skip
    if mismatch is not None:
        _say(bench, mismatch, curve)
    if behind is not None:
        bench.draw(_picture(bench, curve, behind))


def _by_beta(bench, resistance, thermometer) -> None:
    """A thermistor that is none of the common ones, by the two numbers of its data sheet."""
    sheet = {"reference_resistance": bench["r25"], "beta": bench["beta"]}
    if None in sheet.values():
        bench.say("Enter R25 and B of the data sheet.")
        return
    bench.figure(resistance_by_beta, "Resistance it should show", "resistance", "kΩ",
                 temperature=thermometer, **sheet)  # fmt: skip
    behind = bench.worked_out(
        temperature_by_beta, "Temperature behind the resistance", "temperature", "°C",
        resistance=resistance, **sheet, note="the equation errs by up to 0.8 K",
    )  # fmt: skip
    if behind is None or thermometer is None:
        return
    mismatch = behind - thermometer
    agree = abs(mismatch.nominal_value) <= OFF
    bench.say(
        f"The sensor reads {abs(mismatch.nominal_value):.1f} K "
        f"{'above' if mismatch.nominal_value > 0 else 'below'} the thermometer: "
        + ("it is cleared at this temperature." if agree else "off, or not of this kind.")
    )


def _say(bench, mismatch, curve) -> None:
    size, doubt = abs(mismatch.nominal_value), 2 * mismatch.std_dev
    if size <= OFF:
        if doubt > BLUNT:
            bench.say(
                f"They agree, but these instruments tell no better than ± {doubt:.0f} K here."
            )
        else:
            bench.say("Sensor and thermometer agree: the sensor is cleared at this temperature.")
        return
    if size <= OFF + doubt:
        bench.say(
            "So near the limit the thermometer cannot tell: measure again with paste and lag."
        )
    best = curves_by_fit(bench.plain("resistance"), bench.plain("thermometer"))
    others = [fit for fit in best if fit.curve != curve and abs(fit.mismatch) < OFF]
    if others:
        bench.say(
            f"It would be right for {KINDS[others[0].curve]}: is the kind of sensor right, "
            "or was a wrong one fitted?"
        )
    elif size > OFF + doubt:
        bench.say(
            "The sensor is off, and fits no other common kind: clean the well, renew the paste, "
            "then the sensor."
        )


def _picture(bench, curve, behind) -> Chart:
    low, high = CURVES[curve].points[0][0], CURVES[curve].points[-1][0]
    temperatures = np.linspace(max(SHOWN[0], low), min(SHOWN[1], high), 56)
    ohms = sensor_resistance(temperatures, curve) / 1000
    read = bench.plain("resistance") / 1000
    points = [Point("By the sensor", behind.nominal_value - 273.15, read)]
    if bench.has("thermometer"):
        points.append(Point("Thermometer", bench.plain("thermometer") - 273.15, read))
    low, high = float(min(*ohms, read)), float(max(*ohms, read))
    return Chart(
        title="Resistance of the sensor",
        x=Axis(
            "Temperature [°C]", float(temperatures[0] - 273.15), float(temperatures[-1] - 273.15)
        ),
        y=Axis("Resistance [kΩ]", 0.8 * low, 1.2 * high, logarithmic=high > 10 * low),
        words=(
            f"The sensor says {words.celsius(behind.nominal_value)}. A point beside the curve is "
            "another kind of sensor, or a bad one."
        ),
        lines=(
            Line(
                KINDS[curve],
                tuple(
                    (float(t - 273.15), float(r)) for t, r in zip(temperatures, ohms, strict=True)
                ),
            ),
        ),
        points=tuple(points),
    )


SHEET = Sheet(
    id="sensor",
    title="Temperature sensor",
    about="Resistance of a temperature sensor against a thermometer at the same spot.",
    entries=ENTRIES,
    work_out=work_out,
)

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
ASSUMED, TAKEN = "ntc_10k_3977", "10 kΩ, B 3977"  # the kind that stands in, and its short name
OFF = 3.0
"""A sound sensor agrees with a good contact thermometer within this, in kelvin. Common practice, no
source."""
CLEARS = OFF + 2.0
"""Difference and doubt together that still clear a sensor, in kelvin. Judgement."""
ALIKE = (288.15, 308.15)
"""Between these, 15 and 35 °C, kinds of one R25 read within 2 K of each other, in kelvin; tables
of `engine.physics.sensor_curves`."""
SHARED_R25 = {"ntc_10k": "10 kΩ", "ntc_5k": "5 kΩ"}
BETA_ERROR = 0.8
"""What the beta equation may be off by, in kelvin; see `engine.physics.ntc`."""
LIVING = (233.15, 423.15)
"""A thermistor that seems colder or hotter than this, -40 and 150 °C, is open or shorted, in
kelvin. Judgement."""
OPEN, SHORTED = "Open: lead, plug or sensor.", "Shorted: water in the plug, lead, sensor."
SHOWN = (263.15, 373.15)  # K, the stretch of the curve that is drawn

ENTRIES = (
    Entry("resistance", "Resistance, plug off the sensor", "resistance", "kΩ", "300 kΩ",
          "sensor_ohmmeter", over="10 MΩ"),
    Entry("thermometer", "Thermometer at the same spot", "temperature", "°C", "110 °C",
          "contact_thermometer"),
    Entry("curve", "Kind of sensor by the manual", assumed=ASSUMED,
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
    if behind is None:
        if resistance is not None:
            _outside(bench, curve)
        return
    mismatch = bench.worked_out(
        sensor_mismatch, "Sensor above thermometer", "temperature_difference", "K",
        resistance=resistance, thermometer_temperature=thermometer, curve=curve,
    )  # fmt: skip
    if mismatch is not None:
        if _beyond_doubt(bench, mismatch):
            _off(bench, curve)
        shared = next((r for kind, r in SHARED_R25.items() if curve.startswith(kind)), None)
        if shared:
            _alike(bench, f"all {shared} kinds read alike")
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
        resistance=resistance, **sheet, own_deviation=BETA_ERROR / 2,
        note="the equation errs by up to 0.8 K",
    )  # fmt: skip
    if behind is None:
        return
    coldest, hottest = LIVING
    if not coldest <= behind.nominal_value <= hottest:
        bench.say(OPEN if behind.nominal_value < coldest else SHORTED)
        return
    if thermometer is None:
        return
    mismatch = behind - thermometer
    if _beyond_doubt(bench, mismatch):
        bench.say("Off, or not of this kind: check R25 and B, clean the well, renew the paste.")
    _alike(bench, "all kinds of one R25 read alike")


def _beyond_doubt(bench, mismatch) -> bool:
    """Whether the sensor is off for sure; says when it is cleared, and when nobody can tell."""
    size, doubt = abs(mismatch.nominal_value), 2 * mismatch.std_dev
    if size <= OFF and size + doubt <= CLEARS:
        taken = "" if bench.typed("curve") else f", if it is the kind taken ({TAKEN})"
        bench.say(
            f"Sensor and thermometer agree: the sensor is cleared at this temperature{taken}."
        )
        return False
    if size > OFF + doubt:
        return True
    bench.say(
        f"Cannot tell: {size:.1f} K apart, known to ± {doubt:.1f} K only. Measure again, with "
        "paste and lagging on the thermometer."
    )
    return False


def _alike(bench, why) -> None:
    cold, warm = ALIKE
    if cold <= bench.plain("thermometer") <= warm:
        bench.say(f"Near 25 °C {why}: repeat hot.")


def _off(bench, curve) -> None:
    """What a sensor that is off may be: another kind, first of all."""
    others = _others(bench, curve)
    if not bench.typed("curve"):
        bench.say(
            f"Off for the kind taken ({TAKEN})"
            + ("" if others else ", and it fits no other common kind")
            + ": find the kind in the manual first."
        )
    if others:
        bench.say(_right_for(others))
    elif bench.typed("curve"):
        bench.say(
            "The sensor is off, and fits no other common kind: clean the well, renew the paste, "
            "then the sensor."
        )


def _others(bench, curve) -> list[str]:
    """Other kinds that would be right, the best first."""
    if not bench.has("thermometer"):
        return []
    fits = bench.quietly(curves_by_fit, bench.plain("resistance"), bench.plain("thermometer"))
    return [KINDS[fit.curve] for fit in fits or () if fit.curve != curve
            and abs(fit.mismatch) < OFF]  # fmt: skip


def _right_for(others) -> str:
    return (
        f"It would be right for {' or '.join(others[:2])}: is the kind of sensor right, or was a "
        "wrong one fitted?"
    )


def _outside(bench, curve) -> None:
    """A resistance that this kind never shows: another kind, or a broken one."""
    ohms = bench.plain("resistance")
    others = _others(bench, curve)
    if others:
        bench.say(_right_for(others))
        return
    points = CURVES[curve].points
    thermometer = bench.plain("thermometer")
    if ohms < 0 or (thermometer and not points[0][0] <= thermometer <= points[-1][0]):
        return  # a slip, or a place colder or hotter than the table goes
    bench.say(OPEN if ohms > CURVES[curve].reach[1] else SHORTED)
    known = any(low <= ohms <= high for low, high in (kind.reach for kind in CURVES.values()))
    if known and thermometer is None:
        bench.say("Or another kind of sensor: read a thermometer beside it.")


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

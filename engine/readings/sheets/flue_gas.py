"""The flue-gas analyser in the test port and in the intake."""

from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet
from engine.readings.sheets import flue_gas_charts as charts
from engine.readings.sheets import flue_heat, flue_intake, flue_mixture
from engine.readings.sheets.flue_mixture import MEASURED, WORKED_OUT

RATES = {"high": "High fire", "low": "Low fire"}


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
          feeds=_fed(co="co"), over="2000 ppm"),  # cells reach that at least; common practice
    Entry("flue", "Flue gas temperature", "temperature", "°C", "250 °C", "flue_thermocouple",
          feeds={"high": (("flue_temperature_rise", "flue"),)}),
    Entry("return", "Return water temperature", "temperature", "°C", "100 °C",
          "contact_thermometer", feeds={"high": (("flue_temperature_rise", "return"),)}),
    Entry("intake_o2", "O2 in the intake", "dry_fraction", "%", "21.5 %", "o2_cell",
          feeds={"high": (("intake_air", "o2"),)}, usual=False),
    Entry("intake_co2", "CO2 in the intake, measured", "dry_fraction", "%", "8 %",
          "co2_sensor_low", feeds={"high": (("intake_air", "co2"),)}, usual=False),
    Entry("room_co2", "CO2 of the fresh air", "dry_fraction", "ppm", "20000 ppm",
          "co2_sensor_low", assumed="400 ppm ± 100 ppm", usual=False,
          feeds={"high": (("intake_air", "room_co2"),)},
          help="Measure it where people or other appliances share the air."),
    Entry("air", "Temperature of the combustion air", "temperature", "°C", "50 °C",
          assumed="20 °C ± 10 K", usual=False),
    Entry("air_humidity", "Relative humidity of that air", "ratio", "%", "100 %",
          assumed="50 %", usual=False),
    Entry("air_when_set", "Air temperature on the day the valve was set", "temperature", "°C",
          "50 °C", usual=False),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Judge fuel line, mixture, CO and intake air; work out dew point and losses."""
    mixture = flue_mixture.work_out(bench)
    flue_intake.work_out(bench, mixture)
    flue_heat.work_out(bench, mixture)
    if mixture.o2 is not None and mixture.co2 is not None:
        flue_mixture.limits_in_o2(bench)
        pictures = (
            bench.quietly(charts.plane, bench, mixture),
            bench.quietly(charts.dew_points, bench, mixture.o2, flue_heat.humidity(bench)),
        )
        for picture in pictures:
            if picture is not None:
                bench.draw(picture)


def _worked_out_co2(typed) -> tuple[str, ...]:
    """A CO2 that the analyser worked out from the O2 beside it is no second reading."""
    both = typed.get("o2", "").strip() and typed.get("co2", "").strip()
    return ("co2",) if both and typed.get("co2_basis", "") != MEASURED else ()


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
    left_out=_worked_out_co2,
    print_out=True,
)  # fmt: skip

"""A gas orifice: what it passes at a pressure, and the hole for an input."""

from uncertainties import nominal_value, ufloat

from engine.physics.atmosphere import standard_pressure
from engine.physics.gas_quality import gas_density
from engine.physics.orifice import orifice_diameter, orifice_flow
from engine.readings.bench import Bench
from engine.readings.sheet import Entry, Sheet

GAS_TEMPERATURE = 288.15  # K, that of the heating value
GAUGED = 0.05e-3
"""What a stamp or a gauge may be off by, as two standard deviations, in metres. Judgement."""
COEFFICIENT = 0.02
"""The same of the discharge coefficient, as a share. Judgement."""
ROUGH = 0.2e-3
"""The same of the hole for an input, in metres: a second decimal would be false. Judgement."""

ENTRIES = (
    Entry("diameter", "Diameter stamped or gauged", "length", "mm", "50 mm"),
    Entry("pressure", "Gas pressure across the orifice", "gauge_pressure", "mbar", "70 mbar",
          "manometer",
          help="Before it less after it. At a zero governor this is no manifold pressure."),
    Entry("input", "Input it should pass", "power", "kW", "600 kW",
          help="Without it the rated input is taken."),
    Entry("coefficient", "Discharge coefficient", "ratio", "1", "1", assumed="0.9", usual=False,
          help="0.9 for drilled spuds of atmospheric burners; premix orifices are the maker's."),
)  # fmt: skip


def work_out(bench: Bench) -> None:
    """Work out flow, input and the hole for the input."""
    altitude = nominal_value(bench.altitude())
    pressure = bench.plain("pressure")
    if pressure is None:
        return
    density = bench.attempt("Density of the gas", gas_density, bench.fuel, GAS_TEMPERATURE,
                            bench.air_pressure() + pressure)  # fmt: skip
    given = {"pressure_drop": bench["pressure"], "density": density,
             "discharge_coefficient": _coefficient(bench)}  # fmt: skip
    gauged = bench.plain("diameter")
    flow = bench.worked_out(orifice_flow, "Gas it passes", "volume_flow", "m³/h",
                            diameter=gauged and ufloat(gauged, GAUGED / 2), **given)  # fmt: skip
    heat = bench.uncertain_fact("heating_value")
    if flow is not None:
        bench.figure(heat_of_flow, "Input it gives, gross", "power", "kW", flow=flow,
                     heating_value=heat, altitude=altitude,
                     note="typical heating value" if bench.is_typical("heating_value")
                     else "")  # fmt: skip
    load = bench.plain("input") if bench.has("input") else bench.fact("rated_input")
    if load is not None:
        wanted = load / heat_of_flow(1.0, heat, altitude)
        bench.figure(orifice_diameter, "Hole that passes the wanted input", "length", "mm",
                     flow=wanted, **given, own_deviation=ROUGH / 2,
                     note="rough, for atmospheric burners only; a premix boiler's orifice is never "
                          "sized on site")  # fmt: skip
    bench.say("Never drill, ream or wire a hole: only the maker's listed part goes in.")


def _coefficient(bench):
    """The discharge coefficient with its doubt."""
    coefficient = bench.plain("coefficient")
    return coefficient and ufloat(coefficient, COEFFICIENT * abs(coefficient) / 2)


def heat_of_flow(flow, heating_value, altitude):
    """Heat in a flow at the pressure of the place [W]."""
    return flow * heating_value * standard_pressure(altitude) / standard_pressure(0.0)


SHEET = Sheet(
    id="orifice",
    title="Gas orifice",
    about="What a gas orifice passes at a pressure, and the hole that an input takes.",
    entries=ENTRIES,
    work_out=work_out,
    facts=("heating_value", "rated_input", "altitude"),
    fuel=True,
)

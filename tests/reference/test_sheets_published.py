"""The sheets from end to end: what a technician types against what others printed or computed."""

import cantera
import CoolProp.CoolProp as coolprop
import fluids
import psychrolib
import pytest

from engine.physics.fuels import FUELS
from engine.readings.answer import answer
from engine.units import number_in, parse
from tests.published import Published, rows
from tests.reference.burners import Burner, tables
from tests.reference.test_recirculation_loop import run, set_clean, set_to
from tests.reference.test_vent import products

ZERO = 273.15
SEA_LEVEL = 101_325.0
BTU = 1055.055_852_62  # J, International Table, exact

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.fixture
def work_out(knowledge):
    """The report on typed entries and facts."""

    def of(sheet, typed, facts=None, fuel=""):
        known = {n: parse(v, knowledge.facts[n].quantity) for n, v in (facts or {}).items()}
        return answer(knowledge, sheet, typed, known, fuel=fuel)

    return of


def value(report, name, unit):
    """The figure of a calculation, or the one whose title begins so, in a unit."""
    shown = [f.calculated for f in report.figures] + [
        v.figure.calculated for v in report.verdicts
    ]  # fmt: skip
    (found,) = [f for f in shown if f.name == name or f.title.startswith(name)]
    return number_in(found.value, found.quantity, unit)


def said(report, *parts):
    return any(all(part in sentence for part in parts) for sentence in report.says)


# --- flue gas


@rows(
    Published({"co": "87 ppm", "o2": "5 %"}, 114, 0.5,
              "hvacrschool.com, What Does Air Free CO Mean, worked example"),
    Published({"co": "50 ppm", "o2": "7 %"}, 75, 0.5, "hvactoday.com ?p=1030, initial readings"),
    # Printed to three digits with a zero that holds the place.
    Published({"co": "1200 ppm", "o2": "6 %"}, 1680, 5,
              "hvactoday.com ?p=1030, after O2 was lowered"),
)  # fmt: skip
def test_co_air_free_meets_worked_example(work_out, row):
    report = work_out("flue_gas", row.given)

    assert value(report, "co_air_free", "ppm") == pytest.approx(row.expected, abs=row.within)
    assert (report.danger is not None) == (row.expected > 400)


@pytest.mark.parametrize("fuel", ["natural_gas", "propane"])
@pytest.mark.parametrize("altitude", [0, 1500])
def test_it_condenses_below_the_dew_point_of_combustion_and_steam(work_out, fuel, altitude):
    """Cantera burns it in air at 20 °C, half saturated (psychrolib); steam by CoolProp."""
    pressure = psychrolib.GetStandardAtmPressure(altitude)
    humidity = psychrolib.GetHumRatioFromRelHum(20.0, 0.5, pressure) / 0.621945
    burner = Burner(FUELS[fuel], 1.3, humidity)
    share = burner.water / (burner.water + burner.dry)
    dew = coolprop.PropsSI("T", "P", share * pressure, "Q", 1, "Water") - ZERO

    def at(flue):
        typed = {"o2": f"{100 * burner.o2:.6f} %", "flue": f"{flue:.2f} °C"}
        return work_out("flue_gas", typed, {"altitude": f"{altitude} m"}, fuel)

    # 0.01 K: two formulations of steam and ASHRAE's fit for the air's humidity.
    assert value(at(40.0), "flue_dew_point", "°C") == pytest.approx(dew, abs=0.01)
    # Dew point ± 1.2 K, thermocouple ± 1.5 K, O2 ± 0.2 % hardly: ± 1.9 K together.
    assert said(at(dew - 2.3), "below its dew point", "it condenses")
    for near in (-1.5, 1.5):
        assert said(at(dew + near), "at its dew point", "may condense or not")
    assert said(at(dew + 2.3), "above its dew point", "it hardly condenses")


@pytest.mark.parametrize("fuel", ["natural_gas", "propane"])
@pytest.mark.parametrize("moist", [0.0, 1.0])
def test_dry_and_damp_air_lie_within_the_spread_of_the_dew_point(work_out, fuel, moist):
    """The air is taken at 20 °C and half saturated. Cantera and psychrolib, CoolProp as above."""
    humidity = psychrolib.GetHumRatioFromRelHum(20.0, moist, SEA_LEVEL) / 0.621945
    burner = Burner(FUELS[fuel], 1.3, humidity)
    share = burner.water / (burner.water + burner.dry)
    dew = coolprop.PropsSI("T", "P", share * SEA_LEVEL, "Q", 1, "Water")

    typed = {"o2": f"{100 * burner.o2:.6f} %"}
    report = work_out("flue_gas", typed, {"altitude": "0 m"}, fuel=fuel)

    (shown,) = [f.calculated for f in report.figures if f.calculated.name == "flue_dew_point"]
    assert abs(dew - shown.value) < 2 * shown.deviation + 0.05  # it is said to a tenth
    assert shown.deviation < 1.0  # not so wide that anything would do


@pytest.mark.parametrize("fuel", ["natural_gas", "propane"])
@pytest.mark.parametrize("read", ["o2", "co2"])
def test_the_warning_of_recirculation_is_what_the_loop_shows(work_out, fuel, read):
    """A pneumatic boiler run in Cantera with 6 % of its flue gas coming back; then its valve leaned
    to the middle of its limits; then mended. The mixture's weight left out, as we do."""
    gas, _ = tables()
    boiler = set_clean(gas, fuel, 1.3, flue=ZERO, weighs=False)  # no warmth
    sick, mended = run(gas, boiler, 0.06), run(gas, boiler, 0.0)
    middle = {"natural_gas": 9.1, "propane": 10.4}[fuel]
    most = run(gas, set_clean(gas, fuel, 1.0001), 0.0).flue_co2
    target = 0.209 * (1 - middle / 100 / most)
    leaned = run(gas, set_to(gas, boiler, 0.06, target), 0.0)

    flue, intake = (
        (sick.flue_o2, sick.intake_o2) if read == "o2" else (sick.flue_co2, sick.intake_co2)
    )
    typed = {read: f"{100 * flue:.7f} %", f"intake_{read}": f"{100 * intake:.7f} %"}
    # Limits so near each other that the leaned valve ends below them.
    limits = {"co2_high_min": f"{middle - 0.1:.3f} %", "co2_high_max": f"{middle + 0.1:.3f} %"}
    report = work_out("flue_gas", typed | {"room_co2": "0 ppm"}, limits, fuel=fuel)

    shown = value(report, "CO2 once nothing comes back", "%")
    assert shown == pytest.approx(100 * mended.flue_co2, abs=1e-5)
    assert said(report, f"falls to about {100 * mended.flue_co2:.1f} % by itself")
    assert said(
        report, f"Leaned to {middle:.1f} % now", f"would show {100 * leaned.flue_co2:.1f} %"
    )


# --- gas


@rows(
    # Seconds for a cubic foot, homeownershub.com thread 171106, "Checking the firing rate".
    Published({"duration": "36 s"}, 100, 0.5, "table Gas input, 36 s, kBtu/h"),
    Published({"duration": "30 s"}, 120, 0.5, "table Gas input, 30 s, kBtu/h"),
    Published({"duration": "60 s"}, 60, 0.5, "table Gas input, 60 s, kBtu/h"),
)
def test_clocked_input_meets_the_table(work_out, row):
    """The table counts at the conditions of the heating value: no pressure, 15 °C, sea level."""
    conditions = {"meter_pressure": "0 mbar", "gas_temperature": "15 °C"}
    typed = {"volume": "1 ft3", **conditions, **row.given}
    facts = {"heating_value": "1000 Btu/ft3", "rated_input": "100000 Btu/h", "altitude": "0 m"}
    report = work_out("gas_meter", typed, facts)

    assert value(report, "clocked_input_on_site", "kBtu/h") == pytest.approx(
        row.expected, abs=row.within
    )
    assert value(report, "input_share_on_site", "%") == pytest.approx(row.expected, abs=0.5)


def test_clocked_input_on_a_cold_day_in_the_hills_is_that_of_the_gas_law(work_out):
    """p·V/T by hand, air pressure by psychrolib: 2 ft³ in 80 s at 2 psi, -5 °C, 1600 m."""
    pressure = psychrolib.GetStandardAtmPressure(1600.0) + 2 * 6894.757
    by_hand = 2 * 1000 * BTU / 80 * pressure / SEA_LEVEL * 288.15 / (ZERO - 5)

    report = work_out(
        "gas_meter",
        {"volume": "2 ft3", "duration": "80 s", "meter_pressure": "2 psi",
         "gas_temperature": "-5 °C"},
        {"heating_value": "1000 Btu/ft3", "altitude": "1600 m"},
    )  # fmt: skip

    # 1e-4: psychrolib takes height as geopotential, 0.4 m at 1600 m.
    assert value(report, "clocked_input_on_site", "W") == pytest.approx(by_hand, rel=1e-4)


def test_a_plate_for_the_sea_is_derated_as_in_the_worked_example(work_out):
    """80 000 Btu/h at 5000 ft leave 70 400: thefurnaceoutlet.com, Altitude Derating Tips."""
    typed = {"volume": "1 ft3", "duration": "36 s", "convention": "above_2000_ft"}
    facts = {"rated_input": "80 kBtu/h", "altitude": "5000 ft"}

    assert value(work_out("gas_meter", typed, facts), "input_at_altitude", "Btu/h") == (
        pytest.approx(70_400, abs=50)
    )


@rows(
    # psi by °F; the chart reads 0.8 to 1.2 high up to 0 °F and lies within 1.4 from 20 to 90 °F.
    Published({"air": "0 °F"}, 24.5, 1.25, "a burner page, propane information, 0 °F"),
    Published({"air": "60 °F"}, 93, 1.4, "a burner page, propane information, 60 °F"),
)
def test_tank_pressure_meets_the_chart(work_out, row):
    report = work_out("propane_tank", row.given)

    assert value(report, "tank_gauge_pressure", "psi") == pytest.approx(
        row.expected, abs=row.within
    )


def test_tank_feeds_what_the_handbook_says(work_out):
    """38 · 118 · 90 at 0 °F and half full; engine maker's installation planning guide (2011)."""
    typed = {"content": "50 %", "diameter": "38 in", "length": "118 in", "air": "0 °F"}

    assert value(work_out("propane_tank", typed), "vapour_capacity", "Btu/h") == pytest.approx(
        38 * 118 * 90, rel=1e-4
    )


# --- water, condensate, vent


def test_heat_to_the_water_is_that_of_steam_tables(work_out):
    """10 gpm warmed from 160 to 180 °F, CoolProp at the mean; "500 · gpm · °F" gives 2.4 % more."""
    kelvin = (170 + 459.67) / 1.8
    density, heat = (coolprop.PropsSI(s, "T", kelvin, "P", 2e5, "Water") for s in "DC")
    by_hand = 10 * 231 * 0.0254**3 / 60 * density * heat * 20 / 1.8

    report = work_out("water", {"flow": "10 gpm", "supply": "180 °F", "return": "160 °F"})

    assert value(report, "heat_output", "W") == pytest.approx(by_hand, rel=2e-4)
    assert value(report, "heat_output", "Btu/h") == pytest.approx(500 * 10 * 20 / 1.024, rel=2e-3)


@rows(
    Published({"input": "100 kBtu/h"}, 1.1, 0.05, "A furnace maker's blog (2012), at most, gal/h"),
    # 150 mL/kWh, "about"; US gallons here.
    Published({"input": "10 kW"}, 1.5 / 3.785, 0.1 / 3.785, "energytools.de, Kondensat (2024)"),
)
def test_most_condensate_meets_what_the_trade_says(work_out, row):
    report = work_out("condensate", row.given)

    assert value(report, "greatest_condensate_rate", "L/h") / 3.785 == pytest.approx(
        row.expected, abs=row.within
    )


def test_a_clear_vent_takes_what_a_fluids_library_says(work_out):
    """24 kW in 12 m and two elbows of 80 mm: atoms counted, viscosity by Cantera, pipe by fluids.

    1 %: friction follows viscosity (ours is 4 % off at most) to a fifth, real air the oxygen.
    """
    moles, oxygen, _ = products("natural_gas", 1.3, 323.15)
    gas = cantera.Solution("gri30.yaml", transport_model="mixture-averaged")
    gas.TPX = 323.15, SEA_LEVEL, {"AR" if k == "Ar" else k: v for k, v in moles.items()}
    per_second = 24e3 / FUELS["natural_gas"].gross_heat * sum(moles.values())
    flow = per_second * 8.314_462_618 * 323.15 / SEA_LEVEL
    velocity = flow / (3.141_592_654 * 0.08**2 / 4)
    reynolds = fluids.Reynolds(V=velocity, D=0.08, rho=gas.density, mu=gas.viscosity)
    factor = fluids.friction_factor(Re=reynolds, eD=1.5e-6 / 0.08)
    losses = fluids.K_from_f(factor, 12 + 2 * 30 * 0.08, 0.08) + 0.5 + 1  # flush entrance, exit

    typed = {"diameter": "80 mm", "length": "12 m", "elbows_90": "2", "input": "24 kW",
             "flue": "50 °C", "o2": f"{100 * oxygen:.4f} %", "height": "5 m"}  # fmt: skip
    report = work_out("vent", typed, {"altitude": "0 m"})

    assert value(report, "clear_run_pressure", "Pa") == pytest.approx(
        fluids.dP_from_K(losses, gas.density, velocity), rel=0.01
    )
    outdoors = coolprop.PropsSI("D", "T", 283.15, "P", SEA_LEVEL, "Air")  # 10 °C is assumed
    # 0.15 Pa: 0.2 % of the density of flue gas, real air's oxygen, and a digit.
    assert value(report, "stack_draught", "Pa") == pytest.approx(
        9.80665 * 5 * (outdoors - gas.density), abs=0.15
    )


# --- rooms


@rows(
    Published({"input": "140000 Btu/h"}, 7000, 0.5, "Minnesota, IFGC appendix E, table E-1, ft³"),
    Published({"input": "5000 Btu/h"}, 250, 0.5, "Minnesota, IFGC appendix E, table E-1, ft³"),
)
def test_a_room_needs_the_volume_of_the_table(work_out, row):
    figure = value(work_out("room_air", row.given), "standard_room_volume", "m3")
    large, small = (
        work_out("room_air", row.given | {"volume": f"{row.expected + by} ft3"}) for by in (1, -1)
    )

    assert figure / 0.3048**3 == pytest.approx(row.expected, abs=row.within)
    assert said(large, "large enough without openings")
    assert said(small, "too small: it needs openings")


@pytest.mark.parametrize(
    ("rule", "square_inches", "source"),
    [
        ("two_indoor", 240, "New York City Mechanical Code 2008, appendix A: 1 in² per 1000 Btu/h"),
        ("two_outdoor_direct", 60, "up.codes M1703.2: 1 in² per 4000 Btu/h"),
        ("two_outdoor_horizontal", 120, "up.codes M1703.2: 1 in² per 2000 Btu/h"),
        ("one_outdoor", 80, "NFPA 54 9.3.3.2 as quoted by a furnace manual: 3000 Btu/h"),
    ],
)
@pytest.mark.parametrize(("louvre", "free"), [("none", 1.0), ("metal", 0.75), ("wood", 0.25)])
def test_openings_are_held_against_the_rule(work_out, rule, square_inches, source, louvre, free):
    """240 000 Btu/h; free area of louvres: a gas utility, Louvers and Grilles, quoting NFPA 54."""
    needed = square_inches / free
    typed = {"input": "240000 Btu/h", "rule": rule, "louvre": louvre}
    enough, short = (
        work_out("room_air", typed | {"area": f"{by * needed:.4f} in2"}) for by in (1.001, 0.999)
    )

    assert value(enough, "opening_size", "in2") == pytest.approx(needed, rel=1e-6), source
    assert said(enough, "large enough")
    assert said(short, "too small.")


# --- sensors


@rows(
    Published({"curve": "pt1000", "thermometer": "100 °C"}, 1385.1, 0.051,
              "IEC 60751 table of Pt100, times ten"),
    Published({"curve": "pt1000", "thermometer": "0 °C"}, 1000.0, 0.051,
              "IEC 60751 table of Pt100, times ten"),
    Published({"curve": "pt100", "thermometer": "60 °C"}, 123.24, 0.0051,
              "IEC 60751 table of Pt100"),
    # 0.14 %: the curve is another maker's table of the same material.
    Published({"curve": "ntc_10k_3977", "thermometer": "20 °C"}, 12_490, 18,
              "reference guide of a sensor maker, B25/85 3977 K"),
    Published({"curve": "ntc_10k_3977", "thermometer": "60 °C"}, 2487, 4,
              "reference guide of a sensor maker, B25/85 3977 K"),
)  # fmt: skip
def test_a_sound_sensor_shows_the_printed_resistance_and_is_cleared(work_out, row):
    report = work_out("sensor", row.given | {"resistance": f"{row.expected} ohm"})

    assert value(report, "sensor_resistance", "ohm") == pytest.approx(row.expected, abs=row.within)
    assert abs(value(report, "sensor_mismatch", "K")) < 0.1
    assert said(report, "agree")

"""Readings in words and on one line: figures, limits, sources, JSON, and what a visit is given."""

import json

import pytest
from uncertainties import ufloat

from engine.belief.readings import Calculated
from engine.errors import UnreadableValue
from engine.readings import text, typed, words
from engine.readings.handing import for_visit
from engine.readings.sheets import SHEETS
from engine.units import number_in, parse
from engine.units.typed_values import usual_spelling

# --- figures


@pytest.mark.parametrize(
    ("value", "deviation", "quantity", "unit", "shown"),
    [
        # Twice the deviation, to one digit, or two where the first is a 1 (rule of the docstring).
        (0.0912, 0.0015, "dry_fraction", "%", "9.1 ± 0.3 %"),
        (0.0912, 0.0006, "dry_fraction", "%", "9.12 ± 0.12 %"),
        (526e-6, 15e-6, "dry_fraction", "ppm", "530 ± 30 ppm"),
        (1.2818, 0.0075, "ratio", "1", "1.282 ± 0.015"),
        (0.0, 0.5, "temperature_difference", "K", "0.0 ± 1.0 K"),
        (-0.01, 1.0, "temperature_difference", "K", "0 ± 2 K"),
        # A spread in degrees carries no zero point: 1.8 °F for each kelvin.
        (328.15, 1.0, "temperature", "°F", "131 ± 4 °F"),
        # Three digits do not show a spread of 1 in 10 000.
        (0.0912, 4.5e-6, "dry_fraction", "%", "9.12 %"),
        (0.0912, 0.0, "dry_fraction", "%", "9.12 %"),
    ],
)
def test_a_figure_has_the_decimals_that_its_spread_deserves(
    value, deviation, quantity, unit, shown
):
    assert words.shown(Calculated("x", "X", quantity, value, deviation, unit), unit) == shown


def test_temperatures_and_shares_for_everybody():
    assert words.celsius(273.15) == "0 °C (32 °F)"
    assert words.celsius(373.15) == "100 °C (212 °F)"
    assert words.percent(ufloat(0.44, 0.025)) == "44 ± 5 %"


def test_a_doubt_names_the_bands_with_their_shares(knowledge):
    check = knowledge.checks["co_high_fire"]
    low, raised = (check.outcomes[name].says for name in ("low", "raised"))

    assert words.doubt(check, (0.95, 0.05, 0.0)) == ""
    said = words.doubt(check, (0.3, 0.695, 0.005))
    assert said.endswith(f"'{raised}' 70 in 100, '{low}' 30 in 100.")


# --- limits and where they come from


def banded(knowledge):
    return [check for check in knowledge.checks.values() if check.reading]


def facts_of(check):
    limits = [limit for band in check.reading.bands for limit in (band.start, band.below)]
    return {limit.fact for limit in limits if limit and limit.fact}


def test_no_check_lays_a_typical_figure_at_the_plates_door(knowledge):
    plate = knowledge.sources["plate_or_manual"].name

    for check in banded(knowledge):
        sources = words.band_sources(knowledge, {}, check)
        assert sources, check
        assert plate not in sources


def test_every_figure_entered_for_the_boiler_is_said_to_be_so(knowledge):
    for check in banded(knowledge):
        facts = {name: parse(knowledge.facts[name].plausible[0], knowledge.facts[name].quantity)
                 for name in facts_of(check)}  # fmt: skip
        sources = words.band_sources(knowledge, facts, check)
        for name in facts:
            assert f"{knowledge.facts[name].name}, as entered for this boiler" in sources


@pytest.mark.parametrize(
    ("check", "facts", "needs"),
    # knowledge/facts.yaml and the bands of each check, mbar and inches of water as 2.490889.
    [
        ("room_co", {}, "needs less than 10 ppm"),
        ("inlet_gas_pressure_running", {},
         "needs 8.7 mbar or more, typical figure: check the plate or manual"),
        ("inlet_gas_pressure_running", {"inlet_pressure_min": 1700.0},
         "needs 17 mbar or more, entered for this boiler"),
        ("mixture_high_fire", {"fuel": "propane"},
         "needs 9.5 % to 11.2 %, typical figure: check the plate or manual"),
        ("mixture_high_fire", {"co2_high_min": 0.088},  # the other end still is typical
         "needs 8.8 % to 9.7 %, typical figure: check the plate or manual"),
        ("fuel_line_agreement", {}, "needs -0.7 % to 0.7 %"),
        # Our 100 ppm and 5 µA give way to a limit of the boiler on their other side.
        ("co_high_fire", {"co_limit": 80e-6}, "needs less than 80 ppm, entered for this boiler"),
        ("co_high_fire", {},
         "needs less than 100 ppm; limit 400 ppm, typical figure: check the plate or manual"),
        ("flame_current", {"flame_current_min": 6e-6},
         "needs 6 uA or more, entered for this boiler"),
        ("flame_current", {"flame_current_min": 3e-6},
         "needs 5 uA or more; limit 3 uA, entered for this boiler"),
    ],
)  # fmt: skip
def test_what_a_sound_boiler_needs_says_whose_figure_it_is(knowledge, check, facts, needs):
    check = knowledge.checks[check]
    figure = next(iter(check.reading.figure))
    field = check.reading.fields.get(figure.field)
    quantity = field.quantity if field else knowledge.calculations[figure.calculation].quantity

    assert (
        words.needs(knowledge, facts, check, quantity, figure.unit or (field and field.unit))
        == needs
    )


# --- a sheet on one line, as text and as JSON


def test_a_line_reads_as_entries_and_facts(knowledge):
    report = typed.report(
        knowledge, "gas_pressure", ["running = 7 in. w.c.", "inlet_pressure_min=20 mbar"]
    )
    (verdict,) = report.verdicts

    assert verdict.outcome == "low"  # 7 · 2.490889 = 17.4 mbar
    assert verdict.figure.shown.startswith("7.00")
    assert verdict.figure.needs == "needs 8.03 inH2O or more, entered for this boiler"


@pytest.mark.parametrize(
    ("pair", "message"),
    [
        ("o2", "'o2' has no value; write it as o2=VALUE with a unit"),
        ("altitud=5 m", "'altitud' is neither an entry of sheet 'flue_gas' nor a fact; write "
                        "'altitude'"),
        ("fuel=oil", "'oil' is no choice for 'Fuel'; choose from natural_gas, propane"),
        ("altitude=9000 m", "'Altitude of the site' 9000 m is outside -450 m to 4500 m; check the "
                            "unit and the decimal point"),
    ],
)  # fmt: skip
def test_a_pair_that_cannot_be_meant_is_refused(knowledge, pair, message):
    with pytest.raises(UnreadableValue) as caught:
        typed.report(knowledge, "flue_gas", [pair])

    assert str(caught.value) == message


LINE = ["o2=5 %", "co=60 ppm", "flue=65 °C", "return=40 °C", "intake_o2=20 %", "intake_co2=lots"]


def test_json_holds_what_the_report_holds_in_the_units_it_names(knowledge):
    report = typed.report(knowledge, "flue_gas", LINE)
    form = json.loads(json.dumps(text.as_json(report)))

    assert form["danger"] is None
    assert [v["check"] for v in form["verdicts"]] == [v.check for v in report.verdicts]
    assert [n["check"] for n in form["next"]] == [n.check for n in report.next]
    assert form["says"] == list(report.says)
    assert list(form["unread"]) == ["intake_co2"]
    assert [f["name"] for f in form["figures"]] == [f.calculated.name for f in report.figures]
    for figure, told in zip(report.figures, form["figures"], strict=True):
        inner = figure.calculated
        assert told["value"] == pytest.approx(number_in(inner.value, inner.quantity, told["unit"]))
    for verdict in form["verdicts"]:
        assert sum(verdict["weights"]) == pytest.approx(1)


def test_the_deviation_of_a_temperature_is_a_difference(knowledge):
    """Kelvins apart are degrees apart: no 273 gets in between."""
    report = typed.report(knowledge, "flue_gas", ["o2=5 %"])
    (dew,) = [f for f in text.as_json(report)["figures"] if f["name"] == "flue_dew_point"]
    (inner,) = [f.calculated for f in report.figures if f.calculated.name == "flue_dew_point"]

    assert dew["unit"] == "°C"
    assert dew["deviation"] == pytest.approx(inner.deviation)
    assert dew["value"] == pytest.approx(inner.value - 273.15)


def test_text_has_danger_first_and_every_part_of_the_report(knowledge):
    report = typed.report(knowledge, "flue_gas", ["o2=5 %", "co=900 ppm", "flue=hot"])
    lines = text.as_text(report).splitlines()

    assert lines[0] == f"STOP. {report.danger.headline}"
    said = "\n".join(lines)
    for part in (
        *report.danger.advice,
        *report.danger.do_not,
        report.danger.who_acts,
        *(v.says for v in report.verdicts),
        *(f.shown for f in report.figures),
    ):
        assert part in said  # fmt: skip
    assert "? flue: 'hot'" in said
    assert "Measure next" not in said


def test_text_of_nothing_says_so(knowledge):
    assert text.as_text(typed.report(knowledge, "vent", [])) == (
        "Nothing follows from this yet; enter more values."
    )


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_entry_is_listed_and_reads_as_listed(knowledge, sheet):
    listed = text.entries(sheet)

    for entry in SHEETS[sheet].entries:
        assert entry.name in listed
        assert entry.choices or parse(entry.largest, entry.quantity) > 0
        if entry.assumed:
            report = typed.report(knowledge, sheet, [f"{entry.name}={entry.assumed}"])
            assert report.unread == ()


# --- what a visit is given


def handed(knowledge, sheet, rate="", **values):
    return {h.check: dict(h.values) for h in for_visit(knowledge, sheet, values, rate)}


def test_only_what_was_typed_is_handed_on(knowledge):
    """The gas in the meter is assumed to have 15 °C and 20 mbar; neither was measured."""
    assert handed(knowledge, "gas_meter", volume="1 ft3", duration=" 36 s ") == {
        "gas_input_clocked": {"volume": "1 ft3", "duration": "36 s"}
    }
    assert handed(knowledge, "flue_gas") == {}
    assert handed(knowledge, "flue_gas", o2="  ") == {}


def test_a_co2_that_was_reckoned_from_the_o2_beside_it_is_not_handed_on(knowledge):
    def mixture(**values):
        return handed(knowledge, "flue_gas", **values).get("mixture_high_fire")

    assert mixture(o2="5 %", co2="10.5 %") == {"o2": "5 %"}
    assert mixture(o2="5 %", co2="10.5 %", co2_basis="worked_out") == {"o2": "5 %"}
    assert mixture(o2="5 %", co2="9 %", co2_basis="measured") == {"o2": "5 %", "co2": "9 %"}
    assert mixture(co2="9 %") == {"co2": "9 %"}  # all there is


def test_a_check_that_lacks_a_value_it_insists_on_is_left_out(knowledge):
    assert "gas_input_clocked" not in handed(knowledge, "gas_meter", volume="1 ft3")
    assert "flue_temperature_rise" not in handed(knowledge, "flue_gas", flue="60 °C")
    assert "co_high_fire" not in handed(knowledge, "flue_gas", o2="5 %")


def test_the_firing_rate_chooses_the_checks(knowledge):
    values = {"o2": "5 %", "co": "60 ppm", "flue": "60 °C", "return": "40 °C", "intake_o2": "20 %"}
    high, low = (set(handed(knowledge, "flue_gas", rate, **values)) for rate in ("high", "low"))

    assert high == {"mixture_high_fire", "co_high_fire", "flue_temperature_rise", "intake_air"}
    assert low == {"mixture_low_fire", "co_low_fire"}
    assert set(handed(knowledge, "flue_gas", **values)) == high


def test_a_bare_number_means_the_same_on_a_sheet_and_in_a_visit(knowledge):
    for page in SHEETS.values():
        for entry in page.entries:
            for check, field in (fed for rate in (*page.rates, "") for fed in entry.fed(rate)):
                unit = knowledge.checks[check].reading.fields[field].unit
                assert usual_spelling(entry.quantity, unit) == usual_spelling(
                    entry.quantity, entry.unit
                )

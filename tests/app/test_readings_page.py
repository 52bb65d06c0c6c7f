"""The Readings page: values in, what follows out, and the way into a visit."""

import re

import pytest
from streamlit.testing.v1 import AppTest

from engine.physics.fuels import FUELS
from engine.readings.sheets import SHEETS
from engine.visit import events as happened
from engine.visit import keeping
from tests.app.conftest import APP
from tests.app.pages import press, shown, unescaped

GARBAGE = ["lots", "1e300", "-5", "<b>`x`</b> | $y$", "9" * 40]
HOT = {"o2": "5 %", "flue": "300 °C", "return": "40 °C"}


@pytest.fixture
def bench():
    """Opens the page by an address, as a reload would."""

    def opened(sheet="flue_gas", visit=None, **address):
        app = AppTest.from_file(str(APP), default_timeout=60)
        app.switch_page("engine/screens/readings.py")
        app.query_params["sheet"] = sheet
        for name, text in address.items():
            app.query_params[name] = text
        if visit is not None:
            app.query_params["visit"] = str(visit)
        app.run()
        assert not app.exception
        return app

    return opened


def field(app, name):
    """The field of an entry, by the entry's id."""
    return next(box for box in app.text_input if box.key.endswith(f"_{name}"))


def unit(app, name):
    """The unit chosen for an entry."""
    return next(group for group in app.button_group if group.key.endswith(f"_{name}_unit"))


def enter(app, **values):
    """Type values into fields, one after the other as a person would."""
    for name, text in values.items():
        field(app, name).set_value(text).run()
    assert not app.exception
    return app


def address(app):
    """The address without its question mark, as a mapping."""
    return {name: values[0] if isinstance(values, list) else values
            for name, values in app.query_params.items()}  # fmt: skip


def links(app):
    return [(link.proto.label, link.proto.query_string) for link in app.get("page_link")]


# ------------------------------------------------------------------ the sheets


def test_the_page_is_linked_from_the_first_page(open_page):
    assert "Readings" in [label for label, _ in links(open_page())]


def test_each_sheet_opens_empty_and_says_what_to_enter(bench):
    app = bench()
    for page in SHEETS.values():
        app.selectbox(key="readings_sheet").set_value(page.id).run()
        assert not app.exception
        assert page.about in shown(app)
        usual = [entry for entry in page.entries if entry.usual]
        assert f"Enter what you have: {usual[0].label}" in unescaped(app.info[0].value)
        assert address(app) == {"sheet": page.id}


@pytest.mark.parametrize("sheet", SHEETS)
def test_garbage_in_every_field_leaves_the_page_standing(bench, sheet):
    app = bench(sheet)
    for first in (0, 2):
        boxes = [box for box in app.text_input if box.key.startswith("reading_")]
        for place, box in enumerate(boxes):
            box.set_value(GARBAGE[(first + place) % len(GARBAGE)])
        app.run()
        assert not app.exception
        assert app.title[-1].value == "Readings" or app.title[-1].value.startswith("STOP")
        assert "What follows" in [header.value for header in app.header]


def test_no_entry_bears_a_name_that_the_address_needs_itself():
    for page in SHEETS.values():
        for entry in page.entries:
            assert entry.name not in ("sheet", "visit", "fuel", "rate")
            assert not entry.name.startswith("fact_")


# ------------------------------------------------------------------ values


def test_what_follows_appears_when_a_field_is_left(bench):
    """40 ppm at 5 % O2 are 40 * 20.9 / 15.9 = 52.6 ppm air-free; 12 K between flue and return."""
    app = enter(bench(), o2="5", co="40", flue="52", **{"return": "40"})

    text = shown(app)
    assert "Low. CO air-free 53 ± " in text.replace("**", "")
    assert "Flue above return 12 ± " in text
    assert address(app) == {
        "sheet": "flue_gas", "o2": "5 %", "co": "40 ppm", "flue": "52 °C", "return": "40 °C",
    }  # fmt: skip


def test_an_address_brings_everything_back(bench):
    app = bench(o2="5 %", flue="52 °C", rate="low", fuel="propane", fact_altitude="300 m",
                **{"return": "104 °F"})  # fmt: skip

    assert (field(app, "flue").value, unit(app, "flue").value) == ("52", "°C")
    assert (field(app, "return").value, unit(app, "return").value) == ("104", "°F")
    assert app.button_group(key="readings_rate_flue_gas").value == "low"
    assert app.selectbox(key="readings_fuel_None").value == "propane"
    assert app.text_input(key="readings_fact_altitude").value == "300 m"
    assert address(app)["return"] == "104 °F"


def test_an_address_is_only_text(bench):
    app = bench(
        sheet="__import__('os')", o2="9" * 500, rate="x" * 99, fuel="[]", visible="<script>",
        fact_nothing="5", fact_altitude="high",
    )  # fmt: skip

    first = next(iter(SHEETS))
    assert app.selectbox(key="readings_sheet").value == first
    assert len(field(app, "o2").value) <= 40
    assert app.error
    assert "visible" not in address(app)


def test_a_unit_typed_with_the_number_is_chosen(bench):
    """And the empty fields beside it take it over: 126 °F is 22 °F above 104 °F."""
    app = enter(bench(), flue="126 F")

    assert (field(app, "flue").value, unit(app, "flue").value) == ("126", "°F")
    assert unit(app, "return").value == "°F"
    app = enter(app, **{"return": "104"})
    assert "Flue above return 22 ± " in shown(app)


def test_another_unit_is_another_value(bench):
    app = bench(flue="52 °C", **{"return": "40 °C"})
    unit(app, "return").set_value("°F").run()

    assert address(app)["return"] == "40 °F"
    assert "Flue above return 12 ± " not in shown(app)


def test_the_unit_used_on_one_sheet_is_offered_first_on_the_next(bench):
    app = enter(bench(), flue="126 F")
    app.selectbox(key="readings_sheet").set_value("condensate").run()

    assert unit(app, "flue").value == "°F"
    assert field(app, "flue").value == ""


def test_each_sheet_keeps_its_values_while_another_is_open(bench):
    app = enter(bench(), o2="5", flue="126 F")
    app.selectbox(key="readings_sheet").set_value("gas_pressure").run()
    enter(app, static="18")
    app.selectbox(key="readings_sheet").set_value("flue_gas").run()

    assert field(app, "o2").value == "5"
    assert (field(app, "flue").value, unit(app, "flue").value) == ("126", "°F")
    assert address(app) == {"sheet": "flue_gas", "o2": "5 %", "flue": "126 °F"}


def test_clearing_empties_the_sheet_and_can_be_undone_once(bench):
    app = enter(bench(), o2="5", flue="126 F")
    press(app, "Clear")
    assert field(app, "o2").value == ""
    assert address(app) == {"sheet": "flue_gas"}

    press(app, "Undo the clearing")
    assert field(app, "o2").value == "5"
    assert address(app) == {"sheet": "flue_gas", "o2": "5 %", "flue": "126 °F"}
    assert "Undo the clearing" not in [button.label for button in app.button]


def test_what_is_taken_for_granted_is_said_and_not_kept_as_measured(bench):
    app = bench()
    assumed = [entry for entry in SHEETS["flue_gas"].entries if entry.assumed]
    assert assumed
    for entry in assumed:
        if not entry.choices:
            assert (
                field(app, entry.name).placeholder == f"taken as {entry.assumed.partition(' ±')[0]}"
            )
            assert field(app, entry.name).value == ""
    assert address(app) == {"sheet": "flue_gas"}


# ------------------------------------------------------------------ what is said


def test_a_value_that_cannot_be_read_is_named_and_the_others_are_worked_out(bench):
    app = enter(bench(), o2="5", co="40 kg", flue="52", **{"return": "40"})

    assert len(app.error) == 1
    assert unescaped(app.error[0].value).startswith("'40 kg' is not a share of the dry gas")
    assert "Left out, see beside the field: CO as measured" in shown(app).replace("**", "")
    assert "Flue above return 12 ± " in shown(app)


def test_danger_stands_before_everything_and_nothing_more_is_to_be_measured(bench, knowledge):
    """900 ppm at 5 % O2 are 900 * 20.9 / 15.9 = 1183 ppm air-free, above 400."""
    app = enter(bench(), o2="5", co="900")

    danger = knowledge.checks["co_high_fire"].outcomes["over_limit"].danger
    text = shown(app)
    assert app.title[1].value.startswith("STOP")
    for line in (*danger.advice, *danger.do_not, danger.who_acts):
        assert line in text
        assert text.index(line) < text.index("What follows")
    assert "Measure next" not in text
    assert field(app, "co").value == "900"


def test_what_is_not_sound_is_said_before_what_is(bench):
    app = bench(o2="5 %", co="40 ppm", flue="95 °C", **{"return": "40 °C"})

    text = shown(app).replace("**", "")
    assert text.index("Mind this. Too far above the return") < text.index("Low. CO air-free")
    assert "Measure next" in text


def test_an_odd_value_is_asked_about(bench):
    assert "Is this right?" in shown(bench(**HOT))


def test_the_typical_figure_gives_way_to_the_makers(bench):
    """CO2 of 9.0 % is within the typical 8.5 to 9.7 %, and too rich for a maker's 8.8 %."""
    app = bench(co2="9 %", co2_basis="measured")
    assert "In range." in shown(app).replace("**", "")
    app.text_input(key="readings_fact_co2_high_max").set_value("8.8 %").run()

    assert "Too rich." in shown(app).replace("**", "")
    assert address(app)["fact_co2_high_max"] == "8.8 %"


def test_a_makers_figure_that_cannot_be_is_explained(bench):
    app = bench(o2="5 %")
    app.text_input(key="readings_fact_co2_high_max").set_value("88 %").run()

    assert not app.exception
    assert app.error
    assert "In range." in shown(app).replace("**", "")


def test_a_picture_has_the_same_in_words(bench):
    app = bench(co="40 ppm", o2="5 %")
    words = [chart.proto.alt for chart in app.get("vega_lite_chart")]
    assert words
    assert all(words)


# ------------------------------------------------------------------ into a visit


def test_opened_from_a_visit_its_boiler_and_its_instruments_count(bench, begun):
    """100 ppm at 5 % O2 are 131 ppm air-free, a fifth of it 26; both may be rounded.

    A typical cell would be 10 ppm off. CO2 of 9.0 % is above the visit's 8.8 %.
    """
    visit = begun(
        happened.FactStated(fact="co2_high_max", value="8.8 %"),
        happened.InstrumentStated(instrument="co_cell", of_reading="20 %"),
    )
    app = bench(visit=visit, o2="5 %", co="100 ppm")

    text = shown(app).replace("**", "")
    assert f"For visit {visit}, Mill Lane 4. Its boiler and its instruments count here." in text
    assert 26 <= int(re.search(r"CO air-free 13\d ± (\d+) ppm", text)[1]) <= 30
    assert "Too rich." in text
    assert "8.80 % (entered in the visit)" in text
    assert not [box for box in app.text_input if box.key.startswith("readings_fact_")]
    assert ("Back to the visit", f"visit={visit}") in links(app)


def test_a_visit_that_burns_propane_offers_no_other_gas(bench, begun):
    visit = begun(happened.FactStated(fact="fuel", value="propane"))
    box = bench(visit=visit).selectbox(key="readings_fuel_propane")

    assert box.options == [FUELS[name].called for name in FUELS if "propane" in name]


def test_the_values_are_entered_into_the_visit(bench, begun, events_of):
    visit = begun()
    app = bench(visit=visit, o2="5 %", co="40 ppm")
    assert "Measure CO at high fire: " in shown(app)
    press(app, "Enter into this visit")

    assert not app.exception
    assert {e.check: e.values for e in events_of(visit) if isinstance(e, happened.Found)} == {
        "mixture_high_fire": {"o2": "5 %"}, "co_high_fire": {"co": "40 ppm", "o2": "5 %"},
    }  # fmt: skip
    assert f"Stands in visit {visit}:" in shown(app)
    assert ("Go on with the visit", f"visit={visit}") in links(app)
    assert "Enter into this visit" not in [button.label for button in app.button]


def test_a_value_mended_afterwards_can_be_entered_again(bench, begun, events_of):
    visit = begun()
    app = press(bench(visit=visit, o2="5 %", co="40 ppm"), "Enter into this visit")
    enter(app, co="60")
    press(app, "Enter into this visit")

    found = [e for e in events_of(visit) if isinstance(e, happened.Found)]
    assert [e.check for e in found].count("mixture_high_fire") == 1
    assert found[-1].values == {"co": "60 ppm", "o2": "5 %"}


def test_an_odd_value_is_asked_about_before_it_is_entered(bench, begun, events_of):
    visit = begun()
    app = press(bench(visit=visit, **HOT), "Enter into this visit")
    entered = [e.check for e in events_of(visit) if isinstance(e, happened.Found)]
    assert entered == ["mixture_high_fire"]

    press(app, "It is right, enter it")
    last = events_of(visit)[-1]
    assert (last.check, last.sure) == ("flue_temperature_rise", True)


def test_what_the_person_may_not_enter_is_refused_in_words(bench, begun, events_of):
    visit = begun(who="caller")
    app = press(bench(visit=visit, o2="5 %"), "Enter into this visit")

    assert "not for this person" in unescaped(app.error[0].value)
    assert not [e for e in events_of(visit) if isinstance(e, happened.Found)]
    assert field(app, "o2").value == "5"


def test_danger_handed_over_stops_the_visit(bench, begun, store, knowledge, open_page):
    visit = begun()
    press(bench(visit=visit, o2="5 %", co="900 ppm"), "Enter into this visit")

    assert keeping.read(store, knowledge, visit).state.danger
    assert open_page("visit", visit).title[0].value.startswith("STOP")


def test_without_a_visit_an_open_one_can_be_chosen(bench, begun):
    closed = begun(happened.Closed(end="no_listed_cause"))
    visit = begun()
    app = bench(o2="5 %")
    box = app.selectbox(key="readings_visit")
    assert [option.partition(",")[0] for option in box.options] == [f"Visit {visit}"]
    assert f"Visit {closed}" not in box.options
    assert "Start a new visit" in [label for label, _ in links(app)]
    box.set_value(visit).run()

    assert address(app) == {"sheet": "flue_gas", "o2": "5 %", "visit": str(visit)}
    assert "Enter into this visit" in [button.label for button in app.button]


def test_values_wait_while_a_new_visit_is_begun(bench, begun):
    """The other page is left by its link, with nothing but the visit in the address."""
    app = enter(bench(), o2="5", flue="126 F")
    visit = begun()
    app.switch_page("engine/screens/visit.py")
    app.query_params["visit"] = str(visit)
    app.run()
    app.switch_page("engine/screens/readings.py")
    app.query_params["visit"] = str(visit)
    app.run()

    assert field(app, "o2").value == "5"
    assert (field(app, "flue").value, unit(app, "flue").value) == ("126", "°F")
    assert address(app) == {
        "visit": str(visit), "sheet": "flue_gas", "o2": "5 %", "flue": "126 °F",
    }  # fmt: skip


def test_the_visit_links_to_the_readings_and_these_to_its_steps(bench, begun, open_page):
    visit = begun()
    assert ("Readings for this visit", f"visit={visit}") in links(open_page("visit", visit))

    app = bench(visit=visit, flue="95 °C", **{"return": "40 °C"})
    steps = [query for label, query in links(app) if label.startswith("Take this step")]
    assert steps
    assert all(query.startswith(f"visit={visit}&step=check.") for query in steps)


@pytest.mark.parametrize("number", ["abc", "99", ""])
def test_an_address_with_no_such_visit_is_explained(bench, number):
    app = bench(visit=number)
    assert app.title[0].value == "No visit here"


# ------------------------------------------------------------------ a print-out, from a step


def at_step(begun, open_page, step, *events):
    visit = begun(*events)
    app = open_page("visit", visit)
    app.query_params["step"] = step
    return app.run(), visit


def to_print_out(app):
    """The page that the step leads to, also for the next run."""
    app = press(app, "Enter the whole print-out")
    assert app.title[0].value == "Readings"
    app.switch_page("engine/screens/readings.py")
    return app.run()


def entry_box(app, name):
    return next(box for box in app.text_input if (box.key or "").endswith(f"_flue_gas_{name}"))


def test_a_print_out_answers_all_its_checks_and_leads_back_to_the_visit(
    begun, open_page, events_of, knowledge
):
    app, visit = at_step(begun, open_page, "check.co_low_fire")
    app = to_print_out(app)
    entry_box(app, "o2").set_value("5")
    entry_box(app, "co").set_value("30").run()
    app = press(app, "Enter into this visit")

    found = [e.check for e in events_of(visit) if isinstance(e, happened.Found)]
    assert sorted(found) == ["co_low_fire", "mixture_low_fire"]
    names = [knowledge.checks[n].name for n in ("mixture_low_fire", "co_low_fire")]
    assert f"Answered by the print-out: {'; '.join(names)}." in unescaped(
        app.success[0].value
    ).replace("**", "")
    assert app.header[0].value not in names


def test_the_next_print_out_begins_with_an_empty_sheet(begun, open_page):
    """Values of high fire that stay on the sheet would be entered as those of low fire."""
    app, visit = at_step(begun, open_page, "check.co_high_fire")
    app = to_print_out(app)
    entry_box(app, "o2").set_value("5").run()
    app.switch_page("engine/screens/visit.py")
    app.query_params["visit"] = str(visit)
    app.query_params["step"] = "check.co_low_fire"
    app = to_print_out(app.run())

    assert entry_box(app, "o2").value == ""
    assert app.button_group(key="readings_rate_flue_gas").value == "low"


def test_what_is_refused_or_asked_keeps_the_print_out_on_the_screen(begun, open_page, events_of):
    app, visit = at_step(begun, open_page, "check.mixture_high_fire")
    app = to_print_out(app)
    entry_box(app, "o2").set_value("19.9").run()
    app = press(app, "Enter into this visit")

    assert app.title[0].value == "Readings"
    assert app.warning or app.error
    assert not [e for e in events_of(visit) if isinstance(e, happened.Found)]


def test_a_step_without_the_analyser_offers_no_print_out(begun, open_page):
    app, _ = at_step(begun, open_page, "check.flame_rod_seen")

    assert "Enter the whole print-out" not in [b.label for b in app.button]

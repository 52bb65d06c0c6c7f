"""The start of a visit: danger before everything, then complaint and boiler."""

import pytest

from engine.records import cards
from engine.visit import keeping
from tests.app.pages import shown


@pytest.fixture
def start(open_page):
    return open_page()


def past_danger(app):
    app.radio(key="opening_who").set_value("technician")
    return app.button(key="no_danger").click().run()


def at_the_boiler(app, words="clicks a few times and gives up", complaint="locks_out_no_flame"):
    past_danger(app)
    app.text_input(key="opening_words").set_value(words).run()
    return app.button(key=f"opening_near_{complaint}").click().run()


def test_the_danger_signs_are_the_first_and_only_questions(start, knowledge):
    dangers = [name for name, symptom in knowledge.symptoms.items() if symptom.danger]

    assert [b.key for b in start.button] == [*(f"danger_{n}" for n in dangers), "no_danger"]


@pytest.mark.parametrize(
    "sign", ["gas_smell", "co_alarm", "scorching", "flue_gas_in_room", "hard_light_off"]
)
def test_a_danger_sign_brings_its_advice_word_for_word(start, knowledge, sign):
    start.button(key=f"danger_{sign}").click().run()

    text = shown(start)
    danger = knowledge.symptoms[sign].danger
    places = [text.index(words) for words in (*danger.advice, *danger.do_not, danger.who_acts)]
    assert places == sorted(places)
    assert not any((b.key or "").startswith("take_") for b in start.button)


def test_a_danger_sign_needs_no_answer_to_who_holds_the_tool(start, store, events_of):
    start.button(key="danger_gas_smell").click().run()

    assert [e.kind for e in events_of(1)] == ["opened", "symptom_reported"]
    assert events_of(1)[0].who == "caller"


def test_nobody_goes_on_without_saying_who_holds_the_tool(start):
    start.button(key="no_danger").click().run()

    assert "Say first who holds this" in start.error[0].value
    assert not start.text_input


def test_words_bring_the_nearest_complaint(start):
    past_danger(start)
    start.text_input(key="opening_words").set_value("it bangs when it starts").run()

    first = next(b for b in start.button if b.key.startswith("opening_near_"))
    assert first.key == "opening_near_hard_light_off"
    assert "danger sign" in first.label


def test_words_that_fit_nothing_are_said_to(start):
    past_danger(start)
    start.text_input(key="opening_words").set_value("qwertz").run()

    assert "No complaint is near these words" in shown(start)


def test_a_group_lists_its_complaints(start, knowledge):
    past_danger(start)
    start.button_group(key="opening_group").set_value("runs_badly").run()

    listed = {b.key for b in start.button if b.key.startswith("opening_listed_")}
    assert listed == {
        f"opening_listed_{name}"
        for name, symptom in knowledge.symptoms.items()
        if symptom.group == "runs_badly"
    }


def test_a_danger_complaint_found_by_words_stops_too(start):
    past_danger(start)
    start.text_input(key="opening_words").set_value("rotten eggs").run()
    start.button(key="opening_near_gas_smell").click().run()

    assert start.title[0].value.startswith("STOP")


def test_three_taps_begin_a_visit_for_someone_in_a_hurry(start, events_of):
    at_the_boiler(start)
    start.button(key="begin").click().run()

    assert not start.exception
    assert start.query_params["visit"] == "1"
    assert [e.kind for e in events_of(1)] == ["opened", "symptom_reported"]


def test_what_is_said_at_the_start_is_stored_before_the_visit_shows(start, events_of):
    at_the_boiler(start)
    start.button_group(key="opening_fuel").set_value("propane")
    start.text_input(key="opening_rated_input").set_value("110 kBtu/h")
    start.button_group(key="opening_contexts").set_value(["cold_snap", "serviced_lately"])
    start.selectbox(key="opening_suspicion").set_value("flame_rod_coated")
    start.text_input(key="opening_title").set_value("Mill Lane 4")
    start.button(key="begin").click().run()

    stored = [e.model_dump(exclude={"kind"}) for e in events_of(1)]
    assert stored == [
        {"who": "technician", "title": "Mill Lane 4"},
        {"fact": "fuel", "value": "propane"},
        {"fact": "rated_input", "value": "110 kBtu/h"},
        {"context": "cold_snap"},
        {"context": "serviced_lately"},
        {"cause": "flame_rod_coated"},
        {"symptom": "locks_out_no_flame"},
    ]


def test_what_the_age_brings_along_is_said_before_the_visit_begins(start, knowledge):
    brought = knowledge.contexts["new_installation"].name
    at_the_boiler(start)
    start.text_input(key="opening_boiler_age").set_value("6 month").run()
    assert f"by what was said of the boiler:** {brought}" in shown(start)
    start.text_input(key="opening_boiler_age").set_value("6 years").run()
    assert "by what was said of the boiler" not in shown(start)
    start.text_input(key="opening_boiler_age").set_value("young").run()
    assert not start.exception


def test_an_impossible_figure_is_explained_and_no_visit_is_left_half_begun(start, store):
    at_the_boiler(start)
    start.text_input(key="opening_altitude").set_value("30 km").run()
    start.button(key="begin").click().run()

    assert "outside -450 m to 4500 m" in start.error[0].value
    assert not start.exception
    assert keeping.listed(store) == ()


def test_a_typical_limit_is_marked_until_the_maker_is_asked(start):
    at_the_boiler(start)

    assert "8.70 mbar (typical, check the plate or manual)" in shown(start)


def test_the_typical_limit_follows_the_fuel(start):
    """20 mbar for propane: knowledge/facts.yaml, inlet_pressure_min."""
    at_the_boiler(start)
    start.button_group(key="opening_fuel").set_value("propane").run()

    assert "20.0 mbar (typical" in shown(start)


def test_a_bare_number_takes_the_chosen_unit(start, events_of):
    at_the_boiler(start)
    start.text_input(key="opening_altitude").set_value("1200")
    start.button_group(key="opening_altitude_unit_m").set_value("ft").run()
    start.button(key="begin").click().run()

    assert ("altitude", "1200 ft") in [
        (e.fact, e.value) for e in events_of(1) if e.kind == "fact_stated"
    ]


def test_a_second_complaint_can_be_added(start, events_of):
    at_the_boiler(start)
    start.button(key="add_complaint").click().run()
    start.text_input(key="opening_words").set_value("gurgles, drain frozen").run()
    start.button(key="opening_near_condensate_backs_up").click().run()
    start.button(key="begin").click().run()

    assert [e.symptom for e in events_of(1) if e.kind == "symptom_reported"] == [
        "locks_out_no_flame",
        "condensate_backs_up",
    ]


# ------------------------------------------------------------------ a boiler of the records


@pytest.fixture
def boiler(store):
    sheet = {"fuel": "propane", "rated_input": "32 kW"}
    return cards.add_boiler(store, "Cellar boiler", "Mill Lane 4", sheet)


def test_a_known_boiler_fills_the_facts_and_the_visit_is_placed_there(
    open_page, boiler, store, events_of
):
    start = open_page()
    at_the_boiler(start)
    start.button(key=f"opening_boiler_{boiler}").click().run()
    start.button(key="begin").click().run()

    assert not start.exception
    stated = {e.fact: e.value for e in events_of(1) if e.kind == "fact_stated"}
    assert stated == {"fuel": "propane", "rated_input": "32 kW"}
    assert events_of(1)[0].title == "Cellar boiler, Mill Lane 4"
    assert store.visit(1).boiler == boiler


def test_a_boiler_is_searched_and_can_be_put_back(open_page, boiler, store):
    start = open_page()
    at_the_boiler(start)
    start.text_input(key="opening_find_boiler").set_value("attic").run()
    assert "No boiler of the records has these words" in shown(start)
    start.text_input(key="opening_find_boiler").set_value("mill").run()
    start.button(key=f"opening_boiler_{boiler}").click().run()
    start.button(key="opening_other_boiler").click().run()
    start.button(key="begin").click().run()

    assert store.visit(1).boiler is None


def test_a_boiler_that_is_gone_is_said_to_be(open_page, boiler, store):
    start = open_page()
    at_the_boiler(start)
    start.session_state["opening_boiler"] = 99
    start.run()

    assert "no boiler number 99" in start.error[0].value
    assert not start.exception


def test_a_new_boiler_is_kept_by_giving_it_a_name(start, store):
    at_the_boiler(start)
    start.button_group(key="opening_fuel").set_value("propane")
    start.text_input(key="opening_keep_name").set_value("Attic boiler").run()
    start.button(key="begin").click().run()

    (kept,) = cards.find_boilers(store)
    assert (kept.name, kept.sheet) == ("Attic boiler", {"fuel": "propane"})
    assert store.visit(1).boiler == kept.id

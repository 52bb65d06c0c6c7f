"""Settings: kept, shown again, and felt on the other pages."""

from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.preferences import Preferences, keep, preferences
from tests.app.pages import shown


def test_settings_are_kept_and_stand_there_the_next_time(open_page, store):
    page = open_page("settings")
    page.radio(key="set_units").set_value("us")
    page.radio(key="set_size").set_value("largest")
    page.text_input(key="set_company").set_value("Example Heating")
    page.number_input(key="set_labour_rate").set_value(80.0)
    page.button(key="set_keep").click().run()

    assert "Kept" in page.success[0].value
    kept = preferences(store)
    assert (kept.units, kept.size, kept.company, kept.labour_rate) == (
        "us", "largest", "Example Heating", 80.0,
    )  # fmt: skip
    again = open_page("settings")
    assert again.text_input(key="set_company").value == "Example Heating"
    assert again.radio(key="set_units").value == "us"


def test_the_units_are_offered_and_shown_on_the_pages(open_page, store, begun):
    visit = begun()
    keep(store, Preferences(units="us"))
    page = open_page("visit", visit=visit)
    page.selectbox(key="fact_name").set_value("altitude").run()
    assert any(group.value == "ft" for group in page.button_group)
    page.selectbox(key="fact_name").set_value("inlet_pressure_min").run()
    assert "inH2O (typical" in shown(page)


def test_what_was_entered_in_one_unit_means_the_same_in_another(open_page, store, knowledge, begun):
    """A bare 20 was 20 mbar when it was entered, and is no 20 inches of water afterwards."""
    field = next(iter(knowledge.checks["inlet_gas_pressure_running"].reading.fields))
    pressure = happened.Found(check="inlet_gas_pressure_running", values={field: "20"})
    visit = begun(pressure, complaint="locks_out_no_flame")
    before = keeping.folded(store, knowledge, visit).findings[0].values
    keep(store, Preferences(units="us"))

    page = open_page("visit", visit=visit)

    assert not page.exception
    assert keeping.folded(store, knowledge, visit).findings[0].values == before
    assert before == ((field, 2000.0),)


def test_the_licence_is_chosen_already(open_page, store):
    keep(store, Preferences(who="technician"))
    assert open_page().radio(key="opening_who").value == "technician"


def test_letters_and_contrast_reach_every_page(open_page, store):
    keep(store, Preferences(look="plant_room", size="large"))
    style = "".join(block.proto.body for block in open_page("visits").get("html"))
    assert "font-size: 21px" in style
    assert "border: 3px solid #000" in style

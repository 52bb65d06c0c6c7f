"""The Instruments page: what is typical and who says so, and the accuracy of one's own."""

import pytest

from engine.visit import events as happened
from engine.visit import keeping, kit
from tests.app.pages import shown, unescaped

CO = happened.Found(check="co_high_fire", values={"co": "100 ppm", "o2": "5 %"})


@pytest.fixture
def page(open_page):
    return open_page("instruments")


def fill(app, instrument, share, least):
    """Type into the two fields of an instrument and save."""
    for part, text in (("share", share), ("least", least)):
        box = next(
            b for b in app.text_input
            if b.key.startswith(f"kit_{instrument}_") and b.key.endswith(part)
        )  # fmt: skip
        box.set_value(text)
    return app.button(key=f"save_{instrument}").click().run()


def fields(app, instrument):
    return [b.value for b in app.text_input if b.key.startswith(f"kit_{instrument}_")]


def test_every_class_is_shown_with_its_typical_accuracy_and_its_source(page, knowledge):
    text = shown(page)
    for entry in knowledge.instruments.values():
        assert f"{entry.name}. Typical: ±" in text.replace("**", "")
        for source in entry.source:
            assert knowledge.sources[source].name in text
    assert "± 5 % of the reading, at least 10 ppm" in text


def test_the_page_is_linked_from_the_settings(open_page):
    linked = [link.proto.label for link in open_page("settings").get("page_link")]
    assert "The accuracy of my instruments" in linked
    assert "Settings" in [link.proto.label for link in open_page().get("page_link")]


def test_a_stated_accuracy_is_kept_and_said(page, store, knowledge, open_page):
    app = fill(page, "co_cell", "3 %", "5 ppm")

    assert not app.exception
    assert app.success[0].value.startswith("Kept.")
    assert "Yours: ± 3 % of the reading, at least 5 ppm, as stated by you." in shown(app)
    assert store.kit() == {"co_cell": ("3 %", "5 ppm")}
    assert fields(open_page("instruments"), "co_cell") == ["3 %", "5 ppm"]


def test_bare_numbers_take_the_units_of_their_fields(page, store):
    fill(page, "manometer", "0.5", "0,1")

    assert store.kit() == {"manometer": ("0.5 %", "0,1 mbar")}


def test_a_visit_begun_afterwards_reckons_with_it(page, store, knowledge):
    fill(page, "co_cell", "20 %", "")
    visit = keeping.begin(store, knowledge, "technician")

    assert keeping.read(store, knowledge, visit).state.instruments["co_cell"].of_reading == "20 %"


@pytest.mark.parametrize(
    ("share", "least", "words"),
    [
        ("lots", "", "does not start with a number"),
        ("", "5 mbar", "is not a share of the dry gas"),
        ("-3 %", "", "below zero"),
        ("80 %", "", "tells next to nothing"),
        ("0 %", "0 ppm", "no instrument is exact"),
    ],
)
def test_what_cannot_be_is_explained_and_stays_in_its_field(page, store, share, least, words):
    app = fill(page, "co_cell", share, least)

    assert not app.exception
    assert words.lower() in unescaped(app.error[0].value).lower()
    assert fields(app, "co_cell") == [share, least]
    assert store.kit() == {}


def test_back_to_typical_forgets_it(page, store, knowledge):
    app = fill(page, "co_cell", "3 %", "5 ppm")
    app = app.button(key="typical_co_cell").click().run()

    assert store.kit() == {}
    assert fields(app, "co_cell") == ["", ""]
    assert "as stated by you" not in shown(app)
    assert app.success[0].value.startswith("Typical of its class again")


def test_where_nothing_is_stated_there_is_nothing_to_take_back(page):
    assert not [b for b in page.button if (b.key or "").startswith("typical_")]


def test_a_visit_takes_an_accuracy_for_its_past_readings(open_page, begun, events_of):
    """100 ppm at 5 % O2 are 100 * 20.9 / 15.9 = 131 ppm air-free, a fifth of it 26 ppm."""
    visit = begun(CO)
    app = open_page("visit", visit)
    app.selectbox(key="instrument_name").set_value("co_cell").run()
    next(b for b in app.text_input if b.key.endswith("_share")).set_value("20")
    app.button(key="instrument_enter").click().run()

    assert not app.exception
    assert events_of(visit)[-1] == happened.InstrumentStated(
        instrument="co_cell", of_reading="20 %"
    )
    assert "CO air-free 130 ± 30 ppm" in shown(app)


def test_a_reading_says_whose_accuracy_it_has(open_page, begun, store, knowledge):
    kit.remember(store, knowledge, "o2_cell", at_least="0.1 %")

    text = shown(open_page("visit", begun(CO)))
    assert "CO cell of a flue-gas analyser ± 5 % of the reading, at least 10 ppm, typical" in text
    assert "O2 cell of a flue-gas analyser ± 0.1 %, as stated by you." in text

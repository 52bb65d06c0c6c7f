"""The boilers: cards, sheets, trends, files, and a person's data erased. All of it invented."""

from datetime import timedelta

import pytest

from engine.records import cards
from engine.records.store import now
from engine.visit import events as happened
from engine.visit import keeping
from tests.app.pages import shown, unescaped, unfold

OLD = "Visits older than so many years"


@pytest.fixture
def boiler(store):
    ann = cards.add_customer(store, "Ann Example", "1 Mill Lane", "555 0100")
    return cards.add_boiler(store, "Cellar", "1 Mill Lane", {"fuel": "propane"}, ann)


@pytest.fixture
def card(open_page, boiler):
    return open_page("boilers", boiler=boiler)


def test_no_boiler_yet_is_said_with_the_way_on(open_page):
    assert "No boiler is kept yet" in shown(open_page("boilers"))


def test_a_new_boiler_is_written_down_and_its_card_opens(open_page, store):
    page = open_page("boilers")
    page.text_input(key="new_name").set_value("Loft")
    page.button(key="new_keep").click().run()

    assert page.title[0].value == "Loft"
    assert cards.find_boilers(store)[0].name == "Loft"


def test_a_boiler_without_a_name_is_refused(open_page, store):
    page = open_page("boilers")
    page.button(key="new_keep").click().run()

    assert "no name" in page.error[0].value
    assert cards.find_boilers(store) == ()


def test_words_narrow_the_list(open_page, store, boiler):
    cards.add_boiler(store, "Loft")
    page = open_page("boilers")
    page.text_input(key="boiler_words").set_value("mill").run()
    assert "Cellar" in shown(page)
    assert "Loft" not in shown(page)
    page.text_input(key="boiler_words").set_value("castle").run()
    assert "No boiler has these words" in shown(page)


def test_a_number_that_no_boiler_has_gives_a_way_on(open_page):
    for number in (99, "x"):
        page = open_page("boilers", boiler=number)
        assert page.title[0].value == "No boiler here"
        assert not page.exception


def test_a_figure_of_the_sheet_is_kept_or_refused_in_words(card, store, boiler):
    card.selectbox(key="sheet_fact").set_value("altitude").run()
    card.text_input(key=f"sheet_{boiler}__altitude").set_value("30 km").run()
    card.button(key="sheet_keep").click().run()
    assert any("outside" in error.value for error in card.error)
    assert "altitude" not in cards.boiler(store, boiler).sheet

    card.text_input(key=f"sheet_{boiler}__altitude").set_value("300 m").run()
    card.button(key="sheet_keep").click().run()
    assert cards.boiler(store, boiler).sheet == {"fuel": "propane", "altitude": "300 m"}


def test_readings_of_its_visits_show_over_the_years(open_page, store, knowledge, boiler):
    for value in ("5.2 µA", "2.1 µA"):
        visit = keeping.begin(store, knowledge, "technician")
        keeping.record(store, knowledge, visit, happened.SymptomReported(symptom="dead"))
        keeping.record(
            store,
            knowledge,
            visit,
            happened.Found(check="flame_current", values={"current": value}),
        )
        store.place(visit, boiler)

    page = open_page("boilers", boiler=boiler)

    assert "Down from 5.20 µA to 2.10 µA" in shown(page)
    assert not page.exception


def test_a_customer_is_erased_only_when_that_is_ticked(card, store, boiler):
    card.button(key="erase_customer").click().run()
    assert "Tick first" in card.error[0].value
    assert cards.find_customers(store)

    card.checkbox(key="erase_sure").set_value(True)
    card.button(key="erase_customer").click().run()
    assert cards.find_customers(store) == ()
    assert cards.find_boilers(store) == ()
    assert not card.exception


def test_the_owner_needs_a_name(card, store, boiler):
    card.text_input(key="owner_name").set_value("")
    card.button(key="card_keep").click().run()
    assert "customer has no name" in card.error[0].value
    assert cards.find_customers(store)[0].name == "Ann Example"


def test_a_caller_without_a_boiler_is_listed_and_erased(open_page, store):
    cara = cards.add_customer(store, "Cara Example", phone="555 0199")
    store.place(store.begin("call", "v"), customer=cara)
    page = open_page("boilers")
    page.text_input(key="person_words").set_value("0199").run()
    assert "1 visits" in shown(page)
    page.button(key=f"person_erase_{cara}").click().run()
    assert "Tick first" in page.error[0].value

    page.checkbox(key=f"person_sure_{cara}").set_value(True)
    page.button(key=f"person_erase_{cara}").click().run()

    assert "Erased" in page.success[0].value
    assert cards.find_customers(store) == ()
    assert store.visits() == ()


def test_old_visits_of_all_boilers_are_erased_once_the_word_is_written(open_page, store, boiler):
    at = now() - timedelta(days=11 * 366)
    for end in ("mended_and_proven", None):
        visit = store.begin("long ago", "v", begun=at)
        store.append(visit, {"kind": "opened", "who": "technician"}, at=at)
        if end:
            store.append(visit, {"kind": "closed", "end": end, "words": ""}, at=at)
            store.place(visit, boiler)
    page = unfold(open_page("boilers"), OLD)

    assert "This would go: 1 visit, no photo, 1 boiler, 1 person" in shown(page).replace("*", "")
    assert "Cellar" in shown(page)
    assert "1 older visit not ended" in shown(page)
    page.button(key="old_erase").click().run()
    assert "Write the word" in page.error[0].value
    assert len(store.visits()) == 2

    page.text_input(key="old_word_10_1").set_value(" Erase ")
    page.button(key="old_erase").click().run()
    assert "Erased: 1 visit" in unescaped(page.success[0].value)
    assert len(store.visits()) == 1
    assert cards.find_customers(store) == cards.find_boilers(store) == ()
    assert "No ended visit is older" in shown(page)
    assert not page.exception


def test_no_younger_visit_is_offered_to_be_erased(open_page, store):
    store.begin("of today", "v")
    page = unfold(open_page("boilers"), OLD)

    assert "No ended visit is older" in shown(page)
    assert "old_erase" not in {button.key for button in page.button}

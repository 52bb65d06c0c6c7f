"""The end of a visit: what it shows, and which of the ends it refuses."""

import pytest

from engine.records import cards
from engine.screens.components import closing
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.exchange import visit_as_json
from engine.visit.job_sheet_kept import kept_job_sheet
from engine.visit.job_sheet_page import as_page
from engine.visit.job_sheet_paper import as_pdf
from engine.visit.job_sheet_text import as_text
from engine.visit.opened import open_closing
from tests.app.pages import press, shown, unescaped

COATED = happened.Found(check="flame_rod_seen", outcome="coated")
CLEANED = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")


@pytest.fixture
def page(begun, open_page):
    def opened(*events, **more):
        visit = begun(*events, **more)
        return open_page("ending", visit), visit

    return opened


def close(app, end, words=""):
    app.radio(key="end").set_value(end)
    app.text_area(key="end_words").set_value(words)
    return press(app, "Close the visit")


def test_the_leading_suspect_is_named_with_what_speaks_for_it(page):
    app, _ = page(COATED)

    text = shown(app)
    assert "First suspect: Flame rod coated." in text
    assert "White, glassy or scaly film' speaks" in text


def test_every_closing_step_says_how_it_stands_and_what_obliges_it(page, store, knowledge):
    app, visit = page(COATED, CLEANED)

    text = shown(app)
    missing = open_closing(knowledge, keeping.read(store, knowledge, visit).state)
    assert missing
    for name in missing:
        assert f"{knowledge.closing[name].name}: not proven yet." in text
    assert "It was opened: " in text
    assert "Flame rod out" in text


def test_nothing_is_called_mended_without_its_proof(page, events_of):
    app, visit = page(COATED, CLEANED)
    close(app, "mended_and_proven")

    assert "Not proven yet" in app.error[0].value
    assert events_of(visit)[-1].kind == "action_done"


def test_an_end_that_is_not_possible_says_why_before_it_is_chosen(page):
    app, _ = page()

    text = shown(app)
    assert "Mended and proven** is not possible: no repair was entered" in text
    assert "Stopped for danger** is not possible: no danger sign" in text


def test_an_end_must_be_chosen(page):
    app, _ = page()
    press(app, "Close the visit")

    assert app.error[0].value == "Choose one of the ends first."


def test_a_referral_says_to_whom(page, events_of):
    app, visit = page()
    close(app, "made_safe_and_referred")
    assert "to whom it was referred" in app.error[0].value

    close(app, "made_safe_and_referred", "gas supplier, cock shut and tagged")

    assert events_of(visit)[-1].end == "made_safe_and_referred"
    assert "gas supplier, cock shut and tagged" in app.info[0].value


def test_a_danger_ends_stopped_and_says_who_acts(page, events_of, knowledge):
    app, visit = page(happened.SymptomReported(symptom="gas_smell"))
    assert knowledge.symptoms["gas_smell"].danger.who_acts in shown(app)

    close(app, "stopped_for_danger")

    assert events_of(visit)[-1].end == "stopped_for_danger"


def test_a_closed_visit_can_be_opened_again(page, events_of):
    app, visit = page(happened.Closed(end="no_listed_cause"))
    press(app, "Open it again")

    assert events_of(visit)[-1].kind == "taken_back"
    assert app.radio(key="end").value is None


def test_what_to_write_down_holds_value_and_limit(page):
    """The typical CO2 range at high fire on natural gas stands in knowledge/facts.yaml."""
    app, _ = page(happened.Found(check="mixture_high_fire", values={"o2": "4.9 %", "co2": "9.1 %"}))

    assert "9.1 ± 0.3 % (needs 8.5 % to 9.7 %, typical figure" in shown(app)


# ------------------------------------------------------------------ the boiler in the records


def test_facts_found_in_the_visit_are_kept_on_the_boilers_sheet(open_page, store, begun):
    visit = begun(happened.FactStated(fact="fuel", value="propane"))
    boiler = cards.add_boiler(store, "Cellar boiler", sheet={"altitude": "300 m"})
    store.place(visit, boiler)
    app = open_page("ending", visit)
    assert "(on its sheet: nothing)" in unescaped(shown(app))

    app.button(key="keep_on_sheet").click().run()

    assert cards.boiler(store, boiler).sheet == {"altitude": "300 m", "fuel": "propane"}
    assert "Its sheet says what this visit knows of it." in shown(app)


def test_a_boiler_without_a_card_can_be_kept_at_the_end_and_needs_a_name(open_page, store, begun):
    visit = begun(happened.FactStated(fact="fuel", value="propane"))
    app = open_page("ending", visit)
    app.button(key="keep_boiler").click().run()
    assert "no name" in app.error[0].value

    app.text_input(key=f"keep_{visit}_name").set_value("Attic boiler").run()
    app.button(key="keep_boiler").click().run()

    assert store.visit(visit).boiler == cards.find_boilers(store)[0].id
    assert "Attic boiler" in shown(app)


# ------------------------------------------------------------------ the job sheet


@pytest.fixture
def offered(monkeypatch):
    """What a press on each download button gives, by the name of its file."""
    files = {}

    def button(_label, data, file_name, **_more):
        files[file_name] = data

    monkeypatch.setattr(closing.st, "download_button", button)
    return files


def test_the_job_sheet_is_offered_to_print_for_mail_and_as_text(page):
    app, _ = page(COATED, CLEANED)

    labels = [button.proto.label for button in app.get("download_button")]
    assert labels == [
        "Job sheet to print (PDF)", "Job sheet for mail (HTML page)", "Job sheet as text",
        "Save the file",
    ]  # fmt: skip


@pytest.mark.parametrize("end", [(), (happened.Closed(end="no_listed_cause", words="cold"),)])
def test_every_job_sheet_is_made_once_it_is_asked_for(offered, page, store, knowledge, end):
    app, visit = page(*end)
    sheet = kept_job_sheet(store, knowledge, keeping.read(store, knowledge, visit))

    assert not app.exception
    made = {name: data() for name, data in offered.items()}
    assert made == {
        f"visit-{visit}.pdf": as_pdf(sheet),
        f"visit-{visit}.html": as_page(sheet),
        f"visit-{visit}.txt": as_text(sheet),
        f"visit-{visit}.json": visit_as_json(store, visit),
    }
    stands = "No listed cause: cold" if end else "Not closed yet"
    assert stands in made[f"visit-{visit}.txt"]


def test_what_was_typed_with_marks_of_a_page_comes_out_of_the_sheet_as_typed(offered, page):
    typed = "<script>alert(1)</script> **bold**"
    _, visit = page(happened.Noted(text=typed))

    assert "&lt;script&gt;alert(1)&lt;/script&gt; **bold**" in offered[f"visit-{visit}.html"]()
    assert "<script" not in offered[f"visit-{visit}.html"]()
    assert typed in offered[f"visit-{visit}.txt"]()

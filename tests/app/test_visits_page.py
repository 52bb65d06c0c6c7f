"""The list of visits, and what every page does when the knowledge cannot be used."""

import pytest

from engine.visit import events as happened
from engine.visit import keeping
from tests.app.pages import shown


def test_without_a_visit_the_list_says_so(open_page):
    app = open_page("visits")

    assert not app.exception
    assert "No visit is stored yet" in shown(app)


def test_visits_are_listed_with_complaint_and_end(open_page, begun, store, knowledge):
    begun()
    ended = begun(complaint="blocked_flue_trip")
    keeping.record(store, knowledge, ended, happened.Closed(end="no_listed_cause"))

    text = shown(open_page("visits"))
    assert text.index("Visit 2") < text.index("Visit 1")
    assert "Air-pressure or blocked-vent trip" in text
    assert "No listed cause" in text


def test_a_name_is_shown_letter_for_letter(open_page, store, knowledge):
    keeping.begin(store, knowledge, "technician", "<b>*4*</b> [x](http://y) $z$")

    raw = "\n".join(m.value for m in open_page("visits").markdown)
    assert "&lt;b&gt;\\*4\\*&lt;/b&gt; \\[x\\](http\\://y) \\$z\\$" in raw


@pytest.mark.parametrize("screen", ["start", "visit", "ending", "visits", "instruments"])
def test_unusable_knowledge_shows_its_problems_with_file_and_line(
    open_page, tmp_path, monkeypatch, screen
):
    folder = tmp_path / "spoiled"
    folder.mkdir()
    (folder / "words.yaml").write_text("words:\n  often:\n    says: x\n    chance: 2\n")
    monkeypatch.setenv("SIGHTPORT_KNOWLEDGE", str(folder))

    app = open_page(screen, 1)

    assert not app.exception
    assert app.title[0].value == "The knowledge cannot be used"
    assert any("spoiled/words.yaml\\:4" in error.value for error in app.error)
    assert not app.button


def test_words_narrow_the_list_of_visits(open_page, begun, store, knowledge):
    first = begun()
    keeping.record(store, knowledge, first, happened.Noted(text="the cat hides behind it"))
    begun()
    page = open_page("visits")
    page.text_input(key="visit_words").set_value("cat").run()
    assert "Visit 1" in shown(page)
    assert "Visit 2" not in shown(page)

    page.text_input(key="visit_words").set_value("castle").run()
    assert "No visit holds all of these words" in shown(page)

"""Photos on the visit page: taken at a step, beside an entry, shown again, refused in words."""

import io

import pytest
from PIL import Image

from engine.visit import events as happened
from engine.visit import keeping, photographs
from tests.app.pages import press, shown

ROD = "flame_rod_seen"
COATED = happened.Found(check=ROD, outcome="coated")


@pytest.fixture
def photo():
    out = io.BytesIO()
    Image.new("RGB", (2000, 1000), "red").save(out, "JPEG")
    return out.getvalue()


def fields(app, part):
    return [f for f in app.file_uploader if f.label.startswith(part)]


def kept(store, knowledge, visit):
    return photographs.of_visit(store, knowledge, keeping.read(store, knowledge, visit))


def test_a_photo_of_the_step_is_kept_at_once_and_goes_to_its_answer(
    begun, open_page, photo, store, knowledge
):
    visit = begun()
    app = open_page("visit", visit)
    step = app.header[0].value
    fields(app, "Photo of this step")[0].upload("rod.jpg", photo, "image/jpeg").run()

    (waiting,) = kept(store, knowledge, visit)
    assert (waiting.of, waiting.entry) == (step, None)
    assert app.button(key=f"photo_step_{waiting.id}")
    assert not fields(app, "Photo of this step")[0].value

    answers = [b for b in app.button if waiting.waits_for in (b.key or "") and b.key[0].isdigit()]
    answers[0].click().run()

    (answered,) = kept(store, knowledge, visit)
    assert answered.entry == len(store.events(visit))
    assert app.button(key=f"photo_entry_{answered.id}")


def test_an_entry_takes_several_photos_and_another_session_finds_them(
    begun, open_page, photo, store, knowledge
):
    visit = begun(COATED)
    app = open_page("visit", visit)
    number = len(store.events(visit))
    app.session_state[f"photo_add_{number}"] = True  # the tap on "Photo" beside the entry
    app.run()
    for name in ("one.jpg", "two.jpg"):
        fields(app, "Photo of this entry")[0].upload(name, photo, "image/jpeg").run()

    assert [p.entry for p in kept(store, knowledge, visit)] == [number, number]
    again = open_page("visit", visit)
    keys = {b.key for b in again.button}
    assert {f"photo_entry_{p.id}" for p in kept(store, knowledge, visit)} <= keys


def test_a_file_that_is_no_picture_gets_a_sentence(begun, open_page, store, knowledge):
    visit = begun()
    app = open_page("visit", visit)
    fields(app, "Photo of this step")[0].upload("rod.jpg", b"not a picture", "image/jpeg").run()

    assert not app.exception
    assert "This file is no picture" in app.error[0].value
    assert "rod" in app.error[0].value
    assert kept(store, knowledge, visit) == ()
    app.run()
    assert not app.error


def test_a_photo_is_shown_large_and_words_can_be_put_to_it(
    begun, open_page, photo, store, knowledge
):
    visit = begun(COATED)
    number = photographs.attach(
        store, knowledge, visit, photo, "crust", event=len(store.events(visit))
    )
    app = open_page("visit", visit)

    app.button(key=f"photo_entry_{number}").click().run()
    assert len(app.image) == 1
    app.text_input(key=f"photo_words_{number}").set_value("white crust")
    app.button(key=f"photo_describe_{number}").click().run()

    assert [p.words for p in kept(store, knowledge, visit)] == ["white crust"]
    assert app.button(key=f"photo_entry_{number}").label == "white crust"


def test_an_entry_taken_back_leaves_its_photo_under_those_of_the_visit(
    begun, open_page, photo, store, knowledge
):
    visit = begun(COATED)
    number = photographs.attach(
        store, knowledge, visit, photo, "crust", event=len(store.events(visit))
    )
    app = press(open_page("visit", visit), "Undo this")

    assert "Photos of the visit (1)" in [e.label for e in app.expander]
    label = app.button(key=f"photo_rest_{number}").label
    assert label.endswith("crust (taken back)")


def test_the_end_shows_all_photos(begun, open_page, photo, store, knowledge):
    visit = begun(COATED)
    number = photographs.attach(store, knowledge, visit, photo, "crust")
    app = open_page("ending", visit)

    assert "Photos of the visit" in shown(app)
    assert app.button(key=f"photo_end_{number}").label == "The visit. crust"

"""Photos of a visit: scaled, upright, without position, and beside the entry they belong to."""

import io

import pytest
from PIL import Image, PngImagePlugin

from engine.errors import NotAllowed, UnknownVisit, UnreadableValue
from engine.visit import events as happened
from engine.visit import keeping, photographs

COMPLAINT = happened.SymptomReported(symptom="weak_flame_signal")
ROD = "flame_rod_seen"
COATED = happened.Found(check=ROD, outcome="coated")
GPS, ORIENTATION = 0x8825, 0x0112
PLACE = b"47 deg 11 min north"


def photo(size=(40, 30), form="JPEG", mode="RGB", colour="red", **more):
    out = io.BytesIO()
    Image.new(mode, size, colour).save(out, form, **more)
    return out.getvalue()


def opened(jpeg):
    return Image.open(io.BytesIO(jpeg))


def placed(store, knowledge, visit):
    return photographs.of_visit(store, knowledge, keeping.read(store, knowledge, visit))


# ------------------------------------------------------------------ the picture


@pytest.mark.parametrize(
    ("size", "kept"),
    [((4000, 3000), (1600, 1200)), ((1200, 4800), (400, 1600)), ((640, 480), (640, 480))],
)
def test_the_longest_side_is_1600_pixels_at_most(size, kept):
    image = opened(photographs.as_kept(photo(size)))

    assert (image.size, image.format, image.mode) == (kept, "JPEG", "RGB")


def test_position_time_and_comment_are_gone_and_the_picture_stands_upright():
    """EXIF with a position block and orientation 6: the camera was held on its side."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    exif.get_ifd(GPS)[2] = (47.0, 11.0, 3.0)
    exif[0x010E] = PLACE.decode()  # the description
    picture = photo((400, 200), exif=exif, comment=PLACE, xmp=b"<x:xmpmeta>" + PLACE)
    before = opened(picture)
    assert before.getexif().get_ifd(GPS)
    assert PLACE in picture

    kept = photographs.as_kept(picture)

    after = opened(kept)
    assert not dict(after.getexif())
    assert PLACE not in kept
    assert not {"exif", "xmp", "comment"} & set(after.info)
    assert after.size == (200, 400)


def test_orientation_turns_the_right_way():
    """By the EXIF standard, orientation 6 has the 0th row on the right: what is stored left of
    the picture is its top."""
    lying = Image.new("RGB", (64, 32), "white")
    lying.paste((0, 0, 0), (0, 0, 16, 32))  # the left quarter is dark
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    out = io.BytesIO()
    lying.save(out, "JPEG", exif=exif, quality=95)

    upright = opened(photographs.as_kept(out.getvalue()))

    assert upright.getpixel((16, 4))[0] < 60
    assert upright.getpixel((16, 60))[0] > 200


@pytest.mark.parametrize(
    ("form", "mode", "colour"),
    [
        ("PNG", "RGBA", (0, 0, 0, 0)),
        ("PNG", "P", 0),
        ("WEBP", "RGB", "blue"),
        ("MPO", "RGB", "red"),
        ("PNG", "LA", (0, 0)),
    ],
)
def test_other_kinds_of_picture_are_kept_as_jpeg(form, mode, colour):
    kept = opened(photographs.as_kept(photo(form=form, mode=mode, colour=colour)))

    assert (kept.format, kept.mode) == ("JPEG", "RGB")
    if mode in ("RGBA", "LA"):  # nothing is seen through to white
        assert min(kept.getpixel((5, 5))) > 240


def test_texts_of_a_png_are_gone_too():
    texts = PngImagePlugin.PngInfo()
    texts.add_text("Comment", PLACE.decode())
    picture = photo(form="PNG", pnginfo=texts)
    assert PLACE in picture

    assert PLACE not in photographs.as_kept(picture)


@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
@pytest.mark.parametrize(
    ("file", "said"),
    [
        (b"", "no picture"),
        (b"%PDF-1.7 a manual", "no picture"),
        (photo()[:300], "broken"),
        (photo(form="BMP"), "no picture"),
        (b"\xff" * (photographs.MOST_BYTES + 1), "40 MB"),
        (photo((12_001, 10_000), form="PNG", mode="1", colour=0), "too many pixels"),
    ],
)
def test_what_is_no_picture_gets_a_sentence_and_is_not_kept(store, knowledge, after, file, said):
    visit = after(COMPLAINT)

    with pytest.raises(UnreadableValue, match=said) as caught:
        photographs.attach(store, knowledge, visit.id, file)

    assert ";" in str(caught.value)  # the mend
    assert photographs.of_visit(store, knowledge, visit) == ()


# ------------------------------------------------------------------ where it belongs


def test_several_photos_stand_beside_the_entry_they_were_attached_to(store, knowledge, after):
    visit = after(COMPLAINT, COATED)
    number = visit.history[-1][0]
    for words in ("grey crust", " its tip "):
        photographs.attach(store, knowledge, visit.id, photo(), words, event=number)

    beside = photographs.of_event(placed(store, knowledge, visit.id), number)

    assert [p.words for p in beside] == ["grey crust", "its tip"]
    rod = knowledge.checks[ROD]
    assert {p.of for p in beside} == {f"{rod.name}: {rod.outcomes['coated'].says}"}
    assert opened(photographs.large(store, beside[0].id)).format == "JPEG"
    assert max(opened(photographs.small(store, beside[0].id)).size) <= photographs.SMALL_SIDE


def test_a_photo_taken_at_a_step_goes_to_the_answer_that_follows(store, knowledge, after):
    visit = after(COMPLAINT, COATED, happened.ActionDone(action="clean_flame_rod"))
    photographs.attach(store, knowledge, visit.id, photo(), "after it", step=ROD)

    (waiting,) = placed(store, knowledge, visit.id)
    assert (waiting.entry, waiting.waits_for) == (None, ROD)
    assert photographs.of_step((waiting,), ROD) == (waiting,)
    assert waiting.of == knowledge.checks[ROD].name

    clean = happened.Found(check=ROD, outcome="clean")
    number = keeping.record(store, knowledge, visit.id, clean)
    (answered,) = placed(store, knowledge, visit.id)
    assert (answered.entry, answered.waits_for, answered.taken_back) == (number, None, False)


def test_a_photo_of_a_repair_or_a_closing_step_goes_to_its_entry(store, knowledge, after):
    visit = after(COMPLAINT)
    photographs.attach(store, knowledge, visit.id, photo(), step="clean_flame_rod")
    photographs.attach(store, knowledge, visit.id, photo(), step="new_flame_rod_gasket")
    keeping.record(store, knowledge, visit.id, COATED)
    done = keeping.record(store, knowledge, visit.id, happened.ActionDone(action="clean_flame_rod"))
    proved = keeping.record(
        store, knowledge, visit.id,
        happened.Proved(closing="new_flame_rod_gasket", words="a new one, dry"),
    )  # fmt: skip

    assert [p.entry for p in placed(store, knowledge, visit.id)] == [done, proved]


def test_an_entry_taken_back_keeps_its_photo_marked_as_taken_back(store, knowledge, after):
    visit = after(COMPLAINT, COATED)
    number = visit.history[-1][0]
    photographs.attach(store, knowledge, visit.id, photo(), "crust", event=number)

    keeping.undo(store, knowledge, visit.id)

    (left,) = placed(store, knowledge, visit.id)
    assert (left.entry, left.taken_back) == (None, True)
    assert left.line() == f"{knowledge.checks[ROD].name}. crust (taken back)"


def test_an_answer_given_again_takes_the_photos_over(store, knowledge, after):
    visit = after(COMPLAINT, happened.Found(check=ROD, outcome="clean"))
    photographs.attach(store, knowledge, visit.id, photo(), event=visit.history[-1][0])

    number = keeping.record(store, knowledge, visit.id, COATED)

    assert placed(store, knowledge, visit.id)[0].entry == number


def test_a_photo_may_be_of_the_visit_as_a_whole(store, knowledge, after):
    visit = after(COMPLAINT)
    number = photographs.attach(store, knowledge, visit.id, photo())
    photographs.describe(store, number, " the plate ")

    (whole,) = placed(store, knowledge, visit.id)
    assert (whole.line(), whole.entry, whole.taken_back) == ("The visit. the plate", None, False)


def test_photos_are_refused_where_nothing_is_that_they_could_show(store, knowledge, after):
    visit = after(COMPLAINT)

    with pytest.raises(UnknownVisit, match="no visit number 99"):
        photographs.attach(store, knowledge, 99, photo())
    with pytest.raises(NotAllowed, match="no entry 77"):
        photographs.attach(store, knowledge, visit.id, photo(), event=77)
    with pytest.raises(NotAllowed, match="no step 'polish'"):
        photographs.attach(store, knowledge, visit.id, photo(), step="polish")
    assert photographs.of_visit(store, knowledge, visit) == ()


def test_photos_outlive_the_program(store, knowledge, after, tmp_path):
    visit = after(COMPLAINT, COATED)
    photographs.attach(store, knowledge, visit.id, photo(), "crust", step=ROD)
    store.close()

    again = type(store)(f"sqlite:///{tmp_path / 'visits.db'}")
    assert [p.words for p in placed(again, knowledge, visit.id)] == ["crust"]
    again.close()

"""Photos: taken in at a step or beside an entry, shown small, and large on a tap."""

import base64

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.records import default_url
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import photographs
from engine.visit.keeping import Visit
from engine.visit.photographs import Photograph

_TURN = "photo_turn"  # another key after each photo, so that the field is empty again
_REFUSED = "photo_refused"
KINDS = ("jpg", "jpeg", "png", "webp")  # named, so that phones hand over a JPEG of any photo


def of(known: Knowledge, visit: Visit) -> tuple[Photograph, ...]:
    """All photos of a visit."""
    return photographs.of_visit(held.store(), known, visit)


def at_step(known: Knowledge, visit: Visit, step: str) -> None:
    """Take a photo at the step on the screen; those taken at it already."""
    take(known, visit, "Photo of this step", step=step)
    for photo in photographs.of_step(of(known, visit), step):
        small(photo, place="step")


def beside(photos: tuple[Photograph, ...], entry: int) -> None:
    """The photos of an entry."""
    for photo in photographs.of_event(photos, entry):
        small(photo)


def add_to(known: Knowledge, visit: Visit, entry: int) -> None:
    """A photo for an entry that stands already; the field comes once it is opened."""
    place = st.popover("Photo", key=f"photo_add_{entry}", on_change="rerun")
    if place.open:
        with place:
            take(known, visit, "Photo of this entry", event=entry)


def gallery(known: Knowledge, visit: Visit, photos: tuple[Photograph, ...]) -> None:
    """The photos that stand beside no entry, and a photo of the visit as a whole."""
    rest = [photo for photo in photos if photo.entry is None]
    with st.expander("Photos of the visit" + (f" ({len(rest)})" if rest else "")):
        for photo in rest:
            small(photo, photo.line(), "rest")
        take(known, visit, "Photo of the plate, the boiler or the room")


def all_of(known: Knowledge, visit: Visit) -> None:
    """Every photo of a visit, for its end."""
    photos = of(known, visit)
    if photos:
        st.subheader("Photos of the visit")
    for photo in photos:
        small(photo, photo.line(), "end")


def take(
    known: Knowledge, visit: Visit, label: str, event: int | None = None, step: str | None = None
) -> None:
    """Take photos or choose some; each is kept at once, so that none is forgotten."""
    place = f"{visit.id}_{event or step or 'visit'}"
    turn = st.session_state.setdefault(_TURN, 0)
    key = f"photo_{place}_{turn}"
    st.file_uploader(
        label, type=KINDS, accept_multiple_files=True, key=key, max_upload_size=40,
        on_change=_keep, args=(known, visit.id, key, place, event, step),
    )  # fmt: skip
    for sentence in st.session_state.get(_REFUSED, {}).pop(place, ()):
        st.error(sentence)


def _keep(known, visit, key, place, event, step) -> None:
    refused = []
    for file in st.session_state[key] or ():
        try:
            photographs.attach(
                held.store(), known, visit, file.getvalue(), event=event, step=step
            )  # fmt: skip
        except SightportError as error:
            refused.append(f"**{plain(file.name)}.** {held.sentence(error)}")
    st.session_state.setdefault(_REFUSED, {})[place] = refused
    st.session_state[_TURN] += 1


def small(photo: Photograph, words: str = "", place: str = "entry") -> None:
    """The small picture with its words; a tap on it shows it large."""
    key = f"photo_{place}_{photo.id}"
    st.html(
        f"<style>.st-key-{key} button {{background: {_thumb(default_url(), photo.id)} 0.4rem "
        "center / 5.5rem 4.5rem no-repeat; min-height: 5.3rem; padding-left: 6.6rem}</style>"
    )
    if st.button(
        plain(words or photo.words or "Photo. Tap to add words."), key=key, width="stretch"
    ):
        _large(photo)


@st.cache_data(show_spinner=False, max_entries=200)
def _thumb(url: str, photo: int) -> str:
    picture = base64.b64encode(photographs.small(held.store(), photo)).decode()
    return f"url(data:image/jpeg;base64,{picture})"


@st.dialog("Photo", width="large")
def _large(photo: Photograph) -> None:
    st.write(plain(photo.of) + (" (taken back)" if photo.taken_back else ""))
    st.image(photographs.large(held.store(), photo.id), alt=photo.line(), width="stretch")
    key = f"photo_words_{photo.id}"
    st.text_input("What it shows", photo.words, key=key, max_chars=300)
    if st.button(
        "Keep the words", key=f"photo_describe_{photo.id}", type="primary",
        on_click=_describe, args=(photo.id, key),
    ):  # fmt: skip
        st.rerun()  # closes it


def _describe(photo, key) -> None:
    photographs.describe(held.store(), photo, st.session_state[key])

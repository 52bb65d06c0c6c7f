"""Photos of a visit: made small and bare of where they were taken, kept, and put where they belong.

A photo is attached to an entry, or to a step before it is answered; then it belongs to the first
entry of that step. What replaces an entry takes its photos over; an entry taken back keeps them.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import datetime

from PIL import Image, ImageOps, UnidentifiedImageError

from engine.errors import NotAllowed, UnreadableValue
from engine.knowledge import Knowledge
from engine.records import Store
from engine.records import photos as kept
from engine.visit.keeping import Visit
from engine.visit.state import live
from engine.visit.told import told

LONGEST_SIDE = 1600
"""Pixels of the longest side of a photo as kept: type on a plate stays legible. Judgement."""

SMALL_SIDE = 160
"""Pixels of the longest side of a small picture."""

MOST_PIXELS = 120_000_000
"""More than any camera of a phone takes; a file that claims more is no photo. Judgement."""

MOST_BYTES = 40_000_000
"""A larger file is not taken in. Judgement."""

MEDIA = "image/jpeg"

_FORMATS = ("JPEG", "PNG", "WEBP")  # the JPEG of a phone with two lenses is among them


@dataclass(frozen=True)
class Photograph:
    """A photo and where it belongs.

    `of` names what it shows. `entry` is the number of the entry beside which it stands, None where
    none counts; `waits_for` the step that is not answered yet; `taken_back` says that its entry is.
    """

    id: int
    words: str
    at: datetime
    of: str
    entry: int | None = None
    waits_for: str | None = None
    taken_back: bool = False

    def line(self) -> str:
        """What it shows, on one line."""
        said = ". ".join(filter(None, (self.of, self.words)))
        return f"{said} (taken back)" if self.taken_back else said


def attach(
    store: Store,
    known: Knowledge,
    visit: int,
    picture: bytes,
    words: str = "",
    event: int | None = None,
    step: str | None = None,
) -> int:
    """Keep a photo beside an entry, or at a step that is not answered yet; its id.

    Parameters
    ----------
    picture : bytes
        A JPEG, PNG or WebP file of any size.
    event, step : int, str
        The entry's number, or the id of a check, action or closing step; neither: of the visit.

    Raises
    ------
    UnreadableValue
        If the file is no picture, or a broken or immensely large one.
    NotAllowed
        If the visit has no such entry, or nothing that could be photographed has this id.
    UnknownVisit
        If there is no such visit.
    """
    numbers = {stored.number for stored in store.events(visit)}
    if event is not None and event not in numbers:
        raise NotAllowed(f"there is no entry {event} in this visit; choose one that is listed")
    if step is not None and _name(known, step) is None:
        raise NotAllowed(
            f"there is no step {step!r}; open the visit again and take the photo there"
        )
    return kept.add_photo(
        store, visit, as_kept(picture), MEDIA, words.strip(), event=event, step=step
    )


def as_kept(picture: bytes) -> bytes:
    """A picture as a JPEG, upright, at most `LONGEST_SIDE` long, with nothing but its pixels.

    Raises
    ------
    UnreadableValue
        If it cannot be read as a picture.
    """
    return _jpeg(_read(picture), LONGEST_SIDE, quality=85)


def large(store: Store, photo: int) -> bytes:
    """The picture as kept."""
    return kept.picture(store, photo)


def small(store: Store, photo: int) -> bytes:
    """The picture at the size of a thumb."""
    return _jpeg(_read(kept.picture(store, photo)), SMALL_SIDE, quality=70)


def describe(store: Store, photo: int, words: str) -> None:
    """Put other words to a photo."""
    kept.change_words(store, photo, words)


def of_visit(store: Store, known: Knowledge, visit: Visit) -> tuple[Photograph, ...]:
    """All photos of a visit in the order in which they were taken in."""
    photos = kept.photos(store, visit.id)
    if not photos:
        return ()
    placing = _Placing(store, known, visit)
    return tuple(placing.placed(photo) for photo in photos)


def of_event(photographs: tuple[Photograph, ...], event: int) -> tuple[Photograph, ...]:
    """Those that stand beside an entry."""
    return tuple(photo for photo in photographs if photo.entry == event)


def of_step(photographs: tuple[Photograph, ...], step: str) -> tuple[Photograph, ...]:
    """Those that were taken at a step which is not answered yet."""
    return tuple(photo for photo in photographs if photo.waits_for == step)


class _Placing:
    """Where the photos of one visit belong."""

    def __init__(self, store, known, visit):
        self.known = known
        self.entries = {entry.number: entry for entry in told(known, visit)}
        self.counting = {number for number, _ in live(visit.history)}
        self.events = dict(visit.history)
        self.at = {event.number: event.at for event in store.events(visit.id)}

    def placed(self, photo) -> Photograph:
        """A photo beside its entry, or waiting for one, or of the visit as a whole."""
        number = photo.event
        if number is None and photo.step:
            number = self._first_of(photo.step, photo.at)
        step = photo.step or step_of(self.events.get(number))
        name = (_name(self.known, step) if step else None) or "The visit"
        common = {"id": photo.id, "words": photo.words, "at": photo.at, "of": name}
        if number is None:
            return Photograph(**common, waits_for=photo.step)
        entry = self.entries.get(number)
        if entry is not None:
            return Photograph(**common | {"of": entry.text}, entry=number)
        if number not in self.counting:
            return Photograph(**common, taken_back=True)
        return Photograph(**common, entry=self._last_of(step))  # a later answer took its place

    def _first_of(self, step, since):
        """The first entry of a step after a photo was taken at it, whether it still counts or not;
        one that counts before one that does not."""
        later = [n for n, e in self.events.items() if step_of(e) == step and self.at[n] >= since]
        return next((n for n in later if n in self.counting), next(iter(later), None))

    def _last_of(self, step):
        entries = self.entries.items()
        return max((n for n, entry in entries if step and entry.step == step), default=None)


def step_of(event) -> str | None:
    """The check, action or closing step that an event enters; None for any other event."""
    return next(
        (
            getattr(event, field)
            for field in ("check", "action", "closing", "step")
            if getattr(event, field, None)
        ),
        None,
    )


def _name(known, step) -> str | None:
    for kind in (known.checks, known.actions, known.closing):
        if step in kind:
            return kind[step].name
    return "Make safe and refer" if step == "refer" else None


def _read(picture: bytes) -> Image.Image:
    if len(picture) > MOST_BYTES:
        raise UnreadableValue(
            f"the file has more than {MOST_BYTES // 1_000_000} MB; take a smaller picture of it"
        )
    try:
        image = Image.open(io.BytesIO(picture), formats=_FORMATS)
        image.draft("RGB", (2 * LONGEST_SIDE, 2 * LONGEST_SIDE))  # decodes no more than is needed
        if image.width * image.height > MOST_PIXELS:
            raise UnreadableValue("the picture has too many pixels; take it with the phone")
        image.load()
        return image
    except UnidentifiedImageError:
        raise UnreadableValue(
            "this file is no picture that can be shown; choose a JPEG, PNG or WebP"
        ) from None
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        raise UnreadableValue("this picture is broken; take it again") from None


def _jpeg(image: Image.Image, longest: int, quality: int) -> bytes:
    upright = ImageOps.exif_transpose(image)
    upright.thumbnail((longest, longest))
    bare = Image.new("RGB", upright.size, "white")  # takes the pixels, and no place, time or name
    if upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info:
        upright = upright.convert("RGBA")
        bare.paste(upright, mask=upright)
    else:
        bare.paste(upright.convert("RGB"))
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()

"""Photos of a visit, each beside the finding or the step that it shows."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import insert, select, update

from engine.records.store import Store, now
from engine.records.tables import PHOTOS

LONGEST = 300
"""Characters of the words to a photo."""


@dataclass(frozen=True)
class Photo:
    """A photo as listed: beside which event of the visit, when it was taken in (UTC), its kind, and
    at which step it was taken, where no event tells."""

    id: int
    visit: int
    event: int | None
    at: datetime
    media: str
    words: str
    step: str | None = None


_LISTED = (
    PHOTOS.c.id, PHOTOS.c.visit, PHOTOS.c.event, PHOTOS.c.at, PHOTOS.c.media, PHOTOS.c.words,
    PHOTOS.c.step,
)  # fmt: skip


def add_photo(
    store: Store,
    visit: int,
    picture: bytes,
    media: str,
    words: str = "",
    event: int | None = None,
    at: datetime | None = None,
    step: str | None = None,
) -> int:
    """A new photo; its id.

    Examples
    --------
    >>> store = Store("sqlite://")
    >>> visit = store.begin("cellar", "abc")
    >>> number = add_photo(store, visit, b"...", "image/jpeg", "the trap, before cleaning")
    >>> [(p.words, picture(store, p.id)) for p in photos(store, visit)]
    [('the trap, before cleaning', b'...')]
    """
    row = {
        "visit": visit, "event": event, "at": at or now(), "media": media, "picture": picture,
        "words": words[:LONGEST], "step": step,
    }  # fmt: skip
    with store.database.begin() as connection:
        return connection.execute(insert(PHOTOS).values(**row)).inserted_primary_key[0]


def photos(store: Store, visit: int) -> tuple[Photo, ...]:
    """All photos of a visit, in the order in which they were taken in."""
    query = select(*_LISTED).where(PHOTOS.c.visit == visit).order_by(PHOTOS.c.id)
    with store.database.connect() as connection:
        return tuple(Photo(*row) for row in connection.execute(query))


def picture(store: Store, photo: int) -> bytes:
    """The picture itself."""
    with store.database.connect() as connection:
        return connection.scalar(select(PHOTOS.c.picture).where(PHOTOS.c.id == photo))


def change_words(store: Store, photo: int, words: str) -> None:
    """Put other words to a photo."""
    with store.database.begin() as connection:
        connection.execute(
            update(PHOTOS).where(PHOTOS.c.id == photo).values(words=words.strip()[:LONGEST])
        )

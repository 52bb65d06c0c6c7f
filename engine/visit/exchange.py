"""Visits and boilers as files, for another installation, a colleague or an archive.

The form is JSON. Its schema is `schema()`; a file that is brought in is read whole and judged
before anything of it is stored.
"""

import json
from base64 import b64decode, b64encode
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    StringConstraints,
    ValidationError,
)

from engine.errors import UnreadableValue
from engine.records import Store, cards, photos
from engine.records.erasing import held_of
from engine.visit import events as happened

FORM = 1
"""Version of the form; raised when it changes."""

MOST = 50_000_000
"""Characters of a file that are looked at. Judgement: some hundred photos."""


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


def _text(most: int):
    return Annotated[str, StringConstraints(max_length=most)]


def _decoded(value):
    return b64decode(value, validate=True) if isinstance(value, str) else value


Base64 = Annotated[
    bytes, BeforeValidator(_decoded, str), PlainSerializer(lambda b: b64encode(b).decode(), str),
    Field(min_length=1),
]  # fmt: skip
"""Bytes that are text in the file; anything else than base64 is refused."""


class Person(_Part):
    """A customer's card."""

    name: _text(200)
    address: _text(300) = ""
    phone: _text(60) = ""
    mail: _text(120) = ""
    note: _text(2000) = ""


class Appliance(_Part):
    """A boiler's card; `sheet` holds its facts as typed."""

    name: _text(200)
    place: _text(300) = ""
    sheet: dict[_text(80), _text(200)] = {}


class Entry(_Part):
    """One event of a visit; `at` in UTC."""

    at: datetime
    event: happened.Event


class Picture(_Part):
    """A photo; `entry` is the number of the entry beside which it stands, from 1 on."""

    at: datetime
    media: Literal["image/jpeg", "image/png"]
    picture: Base64
    words: _text(300) = ""
    entry: int | None = None


class Visit(_Part):
    """A visit: every entry in its order, those taken back as well."""

    title: _text(200) = ""
    begun: datetime
    knowledge: _text(40)
    entries: Annotated[tuple[Entry, ...], Field(min_length=1)]
    photos: tuple[Picture, ...] = ()


class File(_Part):
    """What one file holds: some visits, to one boiler or none, for one customer or none."""

    form: Literal["sightport"] = "sightport"
    version: Literal[1] = FORM
    customer: Person | None = None
    boiler: Appliance | None = None
    visits: tuple[Visit, ...]


@dataclass(frozen=True)
class Brought:
    """What was brought in: ids."""

    visits: tuple[int, ...]
    boiler: int | None
    customer: int | None


def schema() -> dict:
    """The form as JSON Schema."""
    return File.model_json_schema()


def visit_as_json(store: Store, visit: int, nameless: bool = False) -> str:
    """One visit as a file; without customer, title and place where `nameless`.

    Words that people have typed into the visit stay: read them before you give a file away.

    Raises
    ------
    UnknownVisit
        If there is no such visit.

    Examples
    --------
    >>> from engine.visit.keeping import begin, knowledge
    >>> store, other = Store("sqlite://"), Store("sqlite://")
    >>> first = begin(store, knowledge(), "technician", "cellar")
    >>> brought = bring_in(other, visit_as_json(store, first))
    >>> [e.body for e in other.events(brought.visits[0])] == [e.body for e in store.events(first)]
    True
    """
    stored = store.visit(visit)
    boiler, customer = stored.boiler, stored.customer
    if boiler is not None and customer is None:
        customer = cards.boiler(store, boiler).customer
    return _written(store, [visit], boiler, customer, nameless)


def boiler_as_json(store: Store, boiler: int, nameless: bool = False) -> str:
    """A boiler with its sheet and all visits to it, the earliest first.

    Raises
    ------
    SightportError
        If there is no such boiler.
    """
    customer = cards.boiler(store, boiler).customer
    visits = sorted(visit.id for visit in store.visits_to(boiler=boiler))
    return _written(store, visits, boiler, customer, nameless)


def person_as_json(store: Store, customer: int) -> str:
    """Everything that is kept of a person: a list of files as above, one for each boiler, and one
    for the visits that are to none.

    Raises
    ------
    SightportError
        If there is no such person.
    """
    held = held_of(store, customer)
    there = {
        boiler.id: [v.id for v in store.visits_to(boiler=boiler.id)] for boiler in held.boilers
    }
    others = sorted({*held.visits} - {visit for visits in there.values() for visit in visits})
    files = [
        _written(store, sorted(visits), boiler, customer, nameless=False)
        for boiler, visits in there.items()
    ]
    if others or not files:
        files.append(_written(store, others, None, customer, nameless=False))
    return f"[{', '.join(files)}]"


def _written(store, visits, boiler, customer, nameless) -> str:
    file = File(
        customer=None if nameless or customer is None else _person(store, customer),
        boiler=None if boiler is None else _appliance(store, boiler, nameless),
        visits=tuple(_visit(store, visit, nameless) for visit in visits),
    )
    return json.dumps(file.model_dump(mode="json"), indent=1, ensure_ascii=False)


def _person(store, number) -> Person:
    card = cards.customer(store, number)
    return Person(
        name=card.name, address=card.address, phone=card.phone, mail=card.mail, note=card.note
    )


def _appliance(store, number, nameless) -> Appliance:
    card = cards.boiler(store, number)
    if nameless:
        return Appliance(name="A boiler", sheet=card.sheet)
    return Appliance(name=card.name, place=card.place, sheet=card.sheet)


def _visit(store, number, nameless) -> Visit:
    stored = store.visit(number)
    entries = [
        Entry(at=e.at, event=happened.EVENT.validate_python(_untitled(e.body, nameless)))
        for e in store.events(number)
    ]
    pictures = [
        Picture(
            at=photo.at, media=photo.media, words=photo.words, entry=photo.event,
            picture=photos.picture(store, photo.id),
        )
        for photo in photos.photos(store, number)
    ]  # fmt: skip
    title = "" if nameless else stored.title
    return Visit(
        title=title, begun=stored.begun, knowledge=stored.knowledge, entries=entries,
        photos=pictures,
    )  # fmt: skip


def _untitled(body, nameless) -> dict:
    return {**body, "title": ""} if nameless and body.get("title") else body


def read(text: str) -> File:
    """A file, judged whole.

    Raises
    ------
    UnreadableValue
        With the first place that is wrong, and what is wrong there.
    """
    if len(text) > MOST:
        raise UnreadableValue(f"the file is longer than {MOST} characters; bring in fewer visits")
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise UnreadableValue("the file is not JSON; choose one that was written here") from None
    if not isinstance(data, dict) or data.get("form") != "sightport":
        raise UnreadableValue("the file holds no visit; choose one that was written here")
    if data.get("version") != FORM:
        raise UnreadableValue("the file was written by another version; update this program")
    try:
        return File.model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise UnreadableValue(f"{place}: {first['msg'].lower()}; nothing was brought in") from None


def bring_in(store: Store, text: str) -> Brought:
    """Store what a file holds, as new visits; a customer or boiler that is here already is used.

    Raises
    ------
    UnreadableValue
        If the file cannot be taken; nothing is stored then.
    """
    file = read(text)
    customer = _same_person(store, file.customer) if file.customer else None
    boiler = _same_boiler(store, file.boiler, customer) if file.boiler else None
    visits = []
    for visit in file.visits:
        number = store.begin(visit.title, visit.knowledge, _naive(visit.begun))
        for entry in visit.entries:
            store.append(number, entry.event.model_dump(mode="json"), at=_naive(entry.at))
        for photo in visit.photos:
            photos.add_photo(
                store, number, photo.picture, photo.media, photo.words, photo.entry,
                _naive(photo.at),
            )  # fmt: skip
        if boiler is not None or customer is not None:
            store.place(number, boiler, customer)
        visits.append(number)
    return Brought(tuple(visits), boiler, customer)


def _same_person(store, person: Person) -> int:
    for card in cards.find_customers(store, person.name):
        if (card.name, card.address, card.phone) == (person.name, person.address, person.phone):
            return card.id
    return cards.add_customer(store, **person.model_dump())


def _same_boiler(store, boiler: Appliance, customer) -> int:
    for card in cards.find_boilers(store, boiler.name):
        if (card.name, card.place, card.customer) == (boiler.name, boiler.place, customer):
            return card.id
    return cards.add_boiler(store, **boiler.model_dump(), customer=customer)


def _naive(at: datetime) -> datetime:
    """As stored: UTC, without saying so."""
    return at.astimezone(UTC).replace(tzinfo=None) if at.tzinfo else at

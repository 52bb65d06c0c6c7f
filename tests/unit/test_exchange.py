"""Visits and boilers as files, people's data listed and erased, visits found by words."""

import json
import sqlite3

import pytest

from engine.errors import SightportError, UnknownVisit, UnreadableValue
from engine.records import Store, cards, photos
from engine.records.erasing import erase_customer, erase_visits, held_of
from engine.records.finding import find_visits
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.exchange import (
    boiler_as_json,
    bring_in,
    person_as_json,
    read,
    schema,
    visit_as_json,
)

PICTURE = b"\xff\xd8\xff\xe0 not a real photo \x00\x01"


@pytest.fixture
def ann(store, knowledge):
    """A customer with a boiler, two visits to it, and a photo; the ids. An invented scenario."""
    customer = cards.add_customer(store, "Ann Exämple", "1 Mill Lane", "555 0100")
    boiler = cards.add_boiler(store, "Cellar", "1 Mill Lane", {"fuel": "propane"}, customer)
    visits = []
    for words in ("the cat hides here", "Zählerraum"):
        visit = keeping.begin(store, knowledge, "technician", "Mill Lane")
        keeping.record(store, knowledge, visit, happened.SymptomReported(symptom="dead"))
        keeping.record(store, knowledge, visit, happened.Noted(text=words))
        keeping.record(store, knowledge, visit, happened.TakenBack(event=3))
        store.place(visit, boiler, customer)
        visits.append(visit)
    photos.add_photo(store, visits[0], PICTURE, "image/jpeg", "the board", event=2)
    return customer, boiler, visits


def test_a_boiler_comes_back_from_its_file_as_it_was(store, knowledge, ann, tmp_path):
    _, boiler, visits = ann
    other = Store(f"sqlite:///{tmp_path / 'other.db'}")

    brought = bring_in(other, boiler_as_json(store, boiler))

    assert len(brought.visits) == 2
    for before, after in zip(visits, brought.visits, strict=True):
        assert other.events(after) == store.events(before)
        assert other.visit(after).begun == store.visit(before).begun
        assert (
            keeping.read(other, knowledge, after).state
            == keeping.read(store, knowledge, before).state
        )
    assert cards.boiler(other, brought.boiler).sheet == {"fuel": "propane"}
    assert cards.customer(other, brought.customer).name == "Ann Exämple"
    photo = photos.photos(other, brought.visits[0])[0]
    assert (photo.words, photo.event) == ("the board", 2)
    assert photos.picture(other, photo.id) == PICTURE


def test_what_is_here_already_is_not_doubled(store, ann):
    _, boiler, _ = ann
    text = boiler_as_json(store, boiler)

    brought = bring_in(store, text)

    assert (brought.customer, brought.boiler) == ann[:2]
    assert len(store.visits_to(boiler=boiler)) == 4


def test_a_nameless_file_holds_neither_name_nor_address(store, ann):
    text = visit_as_json(store, ann[2][0], nameless=True)

    assert "Exämple" not in text
    assert "Mill" not in text
    assert "555" not in text
    assert json.loads(text)["boiler"]["sheet"] == {"fuel": "propane"}


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda f: f.update(version=2), "another version"),
        (lambda f: f.update(form="letter"), "no visit"),
        (lambda f: f["visits"][0]["entries"][1]["event"].update(kind="danced"), "visits.0.entries"),
        (lambda f: f["visits"][1].pop("begun"), "visits.1.begun"),
        (lambda f: f["visits"][0].update(owner="x"), "visits.0.owner"),
        (lambda f: f["visits"][0]["photos"][0].update(picture="%%%"), "photos.0.picture"),
        (lambda f: f["visits"][0]["photos"][0].update(media="text/html"), "photos.0.media"),
        (lambda f: f["visits"][0].update(entries=[]), "visits.0.entries"),
    ],
)
def test_a_wrong_file_is_refused_whole_with_the_place(store, ann, change, said):
    file = json.loads(boiler_as_json(store, ann[1]))
    change(file)
    before = store.visits(None)

    with pytest.raises(UnreadableValue, match=said):
        bring_in(store, json.dumps(file))

    assert store.visits(None) == before


@pytest.mark.parametrize("text", ["", "[1, 2]", "{", '{"form": 3}', "[" * 100_000])
def test_what_is_no_file_of_ours_is_refused(store, text):
    with pytest.raises(UnreadableValue):
        bring_in(store, text)


def test_the_form_is_told_as_a_schema(store, ann):
    told = schema()

    assert set(told["properties"]) == set(json.loads(boiler_as_json(store, ann[1])))
    assert set(told["$defs"]["Visit"]["required"]) == {"begun", "knowledge", "entries"}
    assert read(boiler_as_json(store, ann[1])).boiler.name == "Cellar"


def test_words_find_visits_wherever_they_stand(store, ann):
    _, _, (first, second) = ann
    other = store.begin("Oak Street", "v")

    def found(words):
        return {visit.id for visit in find_visits(store, words)}

    assert found("cat") == {first}
    assert found("zählerraum") | found("Zählerraum") == {second}
    assert found("exämple 0100") == {first, second}
    assert found("mill hides") == {first}
    assert found(str(other)) >= {other}
    assert found("oak") == {other}
    assert found("%") == set()
    assert found("") == {first, second, other}


def test_everything_of_a_person_is_listed_and_erased_and_nothing_else(store, ann, tmp_path):
    customer, boiler, visits = ann
    bob = cards.add_customer(store, "Bob Sample")
    his = store.begin("Bob's loft", "v")
    store.place(his, customer=bob)
    guest = store.begin("a neighbour's call about Ann's boiler", "v")
    store.place(guest, boiler=boiler, customer=bob)

    held = held_of(store, customer)
    assert [b.id for b in held.boilers] == [boiler]
    assert held.visits == (*visits, guest)
    assert held.photos == 1

    assert erase_customer(store, customer) == held

    assert [v.id for v in store.visits()] == [his]
    assert [c.name for c in cards.find_customers(store)] == ["Bob Sample"]
    assert cards.find_boilers(store) == ()
    with pytest.raises(UnknownVisit):
        store.events(visits[0])
    with pytest.raises(SightportError, match="no customer"):
        held_of(store, customer)
    store.close()
    kept = b"".join(path.read_bytes() for path in tmp_path.glob("visits.db*"))
    assert b"Mill Lane" not in kept
    assert b"cat hides" not in kept
    assert PICTURE not in kept


def test_all_that_is_kept_of_a_person_comes_as_a_file(store, ann):
    customer, _, visits = ann
    call = store.begin("a call without a boiler", "v")
    store.append(call, {"kind": "opened", "who": "caller"})
    store.place(call, customer=customer)

    at_boiler, without = json.loads(person_as_json(store, customer))

    assert at_boiler["customer"]["name"] == without["customer"]["name"] == "Ann Exämple"
    assert len(at_boiler["visits"]) == len(visits)
    assert [v["title"] for v in without["visits"]] == ["a call without a boiler"]
    assert at_boiler["visits"][0]["photos"][0]["words"] == "the board"
    assert bring_in(store, json.dumps(without)).customer == customer


def test_a_visit_is_erased_alone(store, ann, tmp_path):
    _, boiler, (first, second) = ann

    erase_visits(store, (first,))

    assert [v.id for v in store.visits_to(boiler=boiler)] == [second]
    with sqlite3.connect(tmp_path / "visits.db") as database:
        assert database.execute("SELECT count(*) FROM photos").fetchone() == (0,)
        assert database.execute("SELECT DISTINCT visit FROM events").fetchall() == [(second,)]

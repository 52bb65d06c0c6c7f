"""The event log: only ever added to, and safe from crashes and from a second writer."""

import os
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import UnknownVisit
from engine.records import Store, default_url
from engine.visit import events as happened
from engine.visit import keeping

ROOT = Path(__file__).parents[2]


def note(text):
    return {"kind": "noted", "text": text}


def test_events_are_numbered_from_one_in_each_visit(store):
    first, second = store.begin("first", "v"), store.begin("second", "v")

    numbers = [store.append(v, note("x")) for v in (first, second, first, first, second)]

    assert numbers == [1, 1, 2, 3, 2]
    assert [e.number for e in store.events(first)] == [1, 2, 3]


def test_what_is_stored_is_never_altered(store, tmp_path):
    """Entering, undoing and closing only add rows; every earlier row stays byte for byte."""
    known = keeping.knowledge()
    visit = keeping.begin(store, known, "technician")

    def rows():
        with sqlite3.connect(tmp_path / "visits.db") as database:
            return database.execute("SELECT * FROM events ORDER BY number").fetchall()

    before = rows()
    for event in (
        happened.SymptomReported(symptom="weak_flame_signal"),
        happened.Found(check="flame_rod_seen", outcome="coated"),
        happened.TakenBack(event=3),
        happened.Closed(end="no_listed_cause"),
    ):
        keeping.record(store, known, visit, event)
        after = rows()
        assert after[:-1] == before
        assert len(after) == len(before) + 1
        before = after


def test_the_knowledge_a_visit_was_begun_with_is_kept(store):
    first, second = store.begin("first", "abc"), store.begin("second", "def")

    assert (store.visit(first).knowledge, store.visit(second).knowledge) == ("abc", "def")
    with pytest.raises(UnknownVisit, match="no visit number 7"):
        store.visit(7)


def test_a_store_has_no_way_to_alter_or_remove_events():
    assert {n for n in vars(Store) if not n.startswith("_")} == {
        "append",
        "begin",
        "close",
        "events",
        "keep_settings",
        "kit",
        "place",
        "put_in_kit",
        "settings",
        "take_from_kit",
        "visit",
        "visits",
        "visits_begun_with",
        "visits_to",
    }


# --- the kit ------------------------------------------------------------------------------------


def test_the_kit_keeps_the_last_word_on_each_instrument(store):
    assert store.kit() == {}
    store.put_in_kit("co_cell", "3 %", "5 ppm")
    store.put_in_kit("manometer", "", "0.1 mbar")
    store.put_in_kit("co_cell", "4 %", "")
    assert store.kit() == {"co_cell": ("4 %", ""), "manometer": ("", "0.1 mbar")}

    store.take_from_kit("co_cell")
    store.take_from_kit("never_there")
    assert store.kit() == {"manometer": ("", "0.1 mbar")}


@given(kept=st.dictionaries(st.text(min_size=1), st.tuples(st.text(), st.text())))
def test_what_goes_into_the_kit_comes_out(kept):
    store = Store("sqlite://")
    for name, (of_reading, at_least) in kept.items():
        store.put_in_kit(name, of_reading, at_least)

    assert store.kit() == kept
    store.close()


def test_the_kit_outlives_the_program(store, tmp_path):
    store.put_in_kit("co_cell", "3 %", "5 ppm")
    store.close()

    again = Store(f"sqlite:///{tmp_path / 'visits.db'}")
    assert again.kit() == {"co_cell": ("3 %", "5 ppm")}
    again.close()


OLD = """
CREATE TABLE visits (id INTEGER NOT NULL, title VARCHAR(200) NOT NULL, begun DATETIME NOT NULL,
    knowledge VARCHAR(40) NOT NULL, PRIMARY KEY (id));
CREATE TABLE events (visit INTEGER NOT NULL, number INTEGER NOT NULL, at DATETIME NOT NULL,
    body JSON NOT NULL, PRIMARY KEY (visit, number), FOREIGN KEY(visit) REFERENCES visits (id));
INSERT INTO visits VALUES (1, 'cellar', '2025-01-02 03:04:05.000000', 'abc');
INSERT INTO events VALUES (1, 1, '2025-01-02 03:04:05.000000',
    '{"kind": "opened", "who": "technician", "title": "cellar"}');
INSERT INTO events VALUES (1, 2, '2025-01-02 03:05:05.000000',
    '{"kind": "symptom_reported", "symptom": "weak_flame_signal"}');
"""
"""A database as it was made before there was a kit."""


def test_a_database_from_before_the_kit_goes_on_working(tmp_path):
    with sqlite3.connect(tmp_path / "old.db") as database:
        database.executescript(OLD)
    database.close()
    known, old = keeping.knowledge(), Store(f"sqlite:///{tmp_path / 'old.db'}")

    assert keeping.read(old, known, 1).state.symptoms == ("weak_flame_signal",)
    assert old.kit() == {}
    old.put_in_kit("co_cell", "3 %", "")
    assert old.kit() == {"co_cell": ("3 %", "")}
    visit = keeping.begin(old, known, "technician")
    assert list(keeping.read(old, known, visit).state.instruments) == ["co_cell"]
    assert keeping.read(old, known, 1).state.instruments == {}
    old.close()


@given(body=st.dictionaries(st.text(), st.none() | st.booleans() | st.integers() | st.text()))
def test_what_goes_in_comes_out(body):
    store = Store("sqlite://")
    visit = store.begin("any", "v")
    store.append(visit, body)

    assert store.events(visit)[0].body == body
    store.close()


def test_an_unknown_visit_is_refused(store):
    with pytest.raises(UnknownVisit, match="no visit number 7"):
        store.append(7, note("x"))
    with pytest.raises(UnknownVisit, match="no visit number 7"):
        store.events(7)


def test_visits_are_listed_with_the_latest_first(store):
    first, second, third = (store.begin(t, "v") for t in ("first", "second", "third"))
    store.append(second, note("x"))
    store.append(first, note("x"))

    listed = store.visits()

    assert listed[0].id == first
    assert {v.id for v in listed} == {first, second, third}
    assert [v.last for v in listed] == sorted((v.last for v in listed), reverse=True)
    assert len(store.visits(most=2)) == 2


def test_a_long_title_is_cut_not_refused(store):
    assert store.begin("x" * 1000, "v")
    assert len(store.visits()[0].title) == 200


def test_two_stores_on_one_file_see_each_other(store, tmp_path):
    other = Store(f"sqlite:///{tmp_path / 'visits.db'}")
    visit = store.begin("shared", "v")

    assert [s.append(visit, note("x")) for s in (store, other, store)] == [1, 2, 3]

    assert other.events(visit) == store.events(visit)
    other.close()


def test_two_writers_at_once_lose_nothing_and_share_no_number(store, tmp_path):
    other = Store(f"sqlite:///{tmp_path / 'visits.db'}")
    visit = store.begin("busy", "v")
    errors = []

    def write(into, who):
        try:
            for i in range(60):
                into.append(visit, note(f"{who} {i}"))
        except Exception as error:  # whatever it is, it belongs to the test
            errors.append(error)

    writers = [threading.Thread(target=write, args=pair) for pair in ((store, "a"), (other, "b"))]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    other.close()

    assert not errors
    events = store.events(visit)
    assert [e.number for e in events] == list(range(1, 121))
    assert {e.body["text"] for e in events} == {f"{w} {i}" for w in "ab" for i in range(60)}


WRITER = """
import sys
from engine.records import Store
from engine.visit import events, keeping

known, store = keeping.knowledge(), Store(sys.argv[1])
visit = keeping.begin(store, known, "technician", "killed")
keeping.record(store, known, visit, events.SymptomReported(symptom="weak_flame_signal"))
print(visit, flush=True)
number = 0
while True:
    number += 1
    keeping.record(store, known, visit, events.Noted(text=f"note {number}"))
    print(number, flush=True)
"""


def test_a_visit_survives_the_kill_of_its_process(store, tmp_path):
    """All that was acknowledged before `kill -9` is there, and the visit goes on."""
    url = f"sqlite:///{tmp_path / 'visits.db'}"
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, url], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    visit = int(writer.stdout.readline())
    acknowledged = [int(writer.stdout.readline()) for _ in range(25)]
    os.kill(writer.pid, signal.SIGKILL)
    acknowledged += [int(line) for line in writer.stdout.read().split()]
    writer.wait()
    writer.stdout.close()
    assert writer.returncode == -signal.SIGKILL

    known = keeping.knowledge()
    found = keeping.read(store, known, visit)

    notes = list(found.state.notes)
    assert notes[: len(acknowledged)] == [f"note {n}" for n in acknowledged]
    assert len(notes) <= len(acknowledged) + 1  # one may be stored and not yet acknowledged
    assert [n for n, _ in found.history] == list(range(1, len(notes) + 3))
    keeping.record(store, known, visit, happened.Noted(text="after the crash"))
    assert keeping.read(store, known, visit).state.notes[-1] == "after the crash"


def test_the_database_is_where_the_environment_says(monkeypatch, tmp_path):
    monkeypatch.setenv("SIGHTPORT_DATABASE", "sqlite:////somewhere/visits.db")
    assert default_url() == "sqlite:////somewhere/visits.db"

    monkeypatch.delenv("SIGHTPORT_DATABASE")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert str(tmp_path) in default_url()

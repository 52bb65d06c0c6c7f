"""The database: brought up to date from any version, the same on SQLite and PostgreSQL."""

import os
import shutil
import socket
import subprocess
import tempfile
import threading
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, text

from engine.errors import SightportError
from engine.records import Store, cards, photos
from engine.records.database import LATEST, MIGRATIONS, open_database
from engine.records.erasing import erase_with
from engine.records.tables import METADATA


def _program(name):
    """A program of PostgreSQL, on the path or where Debian keeps it."""
    places = [shutil.which(name), *sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"))]
    found = [place for place in places if place]
    assert found, f"{name} is missing: install PostgreSQL (Debian: apt-get install postgresql)"
    return str(found[-1])


@pytest.fixture(scope="session")
def postgres():
    """A PostgreSQL server of its own; the URL of its database."""
    folder = Path(tempfile.mkdtemp(prefix="postgres"))  # pytest's folders are open to one user only
    as_user = []
    if os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres")
        as_user = ["runuser", "-u", "postgres", "--"]
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    data = folder / "data"
    subprocess.run(
        [*as_user, _program("initdb"), "-D", data, "-A", "trust", "-U", "sightport", "-E", "UTF8"],
        check=True, capture_output=True, cwd=folder,
    )  # fmt: skip
    options = f"-p {port} -h 127.0.0.1 -k {folder} -c fsync=off"
    control = [*as_user, _program("pg_ctl"), "-D", data, "-w"]
    subprocess.run(
        [*control, "-o", options, "-l", folder / "log", "start"],
        check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=folder,
    )  # fmt: skip
    yield f"postgresql://sightport@127.0.0.1:{port}/postgres"
    subprocess.run([*control, "-m", "immediate", "stop"], check=True, capture_output=True, cwd="/")
    shutil.rmtree(folder)


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request, tmp_path):
    """A database without tables, of either kind."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'new.db'}"
    url = request.getfixturevalue("postgres")
    name = f"db_{tmp_path.name.lower()}"
    with create_engine(url.replace("://", "+psycopg://")).connect() as connection:
        connection.execution_options(isolation_level="AUTOCOMMIT").execute(
            text(f'CREATE DATABASE "{name}"')
        )
    return url.removesuffix("postgres") + name


def test_the_migrations_lead_to_the_tables_of_the_program(url):
    database = open_database(url)
    with database.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []
        assert context.get_current_revision() == LATEST


def test_the_latest_version_is_the_last_migration():
    assert ScriptDirectory(str(MIGRATIONS)).get_current_head() == LATEST


def test_a_database_without_a_version_keeps_its_visits(tmp_path):
    """As the program kept them before there were versions."""
    url = f"sqlite:///{tmp_path / 'old.db'}"
    old = create_engine(url)
    METADATA.create_all(old, tables=[METADATA.tables[n] for n in ("visits", "events", "kit")])
    with old.begin() as connection:
        connection.execute(
            text("INSERT INTO visits VALUES (7, 'cellar', '2026-01-02 03:04:05.000000', 'abc')")
        )
        connection.execute(
            text(
                "INSERT INTO events VALUES (7, 1, '2026-01-02 03:04:06.000000', "
                '\'{"kind": "opened", "who": "technician"}\')'
            )
        )
    old.dispose()

    store = Store(url)

    assert [(v.id, v.title, v.boiler) for v in store.visits()] == [(7, "cellar", None)]
    assert store.events(7)[0].body == {"kind": "opened", "who": "technician"}
    store.place(7, boiler=cards.add_boiler(store, "cellar boiler"))
    assert store.visits_to(boiler=1)[0].id == 7


def test_a_database_of_a_newer_program_is_refused_and_left_alone(tmp_path):
    url = f"sqlite:///{tmp_path / 'newer.db'}"
    Store(url).close()
    with create_engine(url).begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))

    with pytest.raises(SightportError, match="newer program"):
        Store(url)
    with create_engine(url).connect() as connection:
        assert connection.scalar(text("SELECT version_num FROM alembic_version")) == "9999"


def test_old_visits_go_with_what_only_they_needed(url):
    store = Store(url)
    ann, bob = (cards.add_customer(store, name) for name in ("Ann Example", "Bob Sample"))
    cellar = cards.add_boiler(store, "Cellar", customer=ann)
    loft = cards.add_boiler(store, "Loft", customer=bob)
    old, first, later = (store.begin(name, "v") for name in ("old", "first", "later"))
    for visit, boiler in ((old, cellar), (first, loft), (later, loft)):
        store.append(visit, {"kind": "noted", "text": "Ω"})
        store.place(visit, boiler)
        photos.add_photo(store, visit, b"x", "image/jpeg")

    gone = erase_with(store, [old, first])

    assert (gone.visits, gone.photos) == ((old, first), 2)
    assert [visit.id for visit in store.visits(None)] == [later]
    assert [boiler.id for boiler in cards.find_boilers(store)] == [loft]
    assert [customer.id for customer in cards.find_customers(store)] == [bob]
    assert len(photos.photos(store, later)) == 1


def test_everything_is_kept_and_found_again(url):
    store = Store(url)
    ann = cards.add_customer(store, "Ann Exämple", address="1 Mill Lane", phone="555 0100")
    other = cards.add_customer(store, "Bob 100% Sample")
    hers = cards.add_boiler(store, "Cellar", "1 Mill Lane", {"fuel": "propane"}, ann)
    visit = store.begin("noise", "v")
    store.append(visit, {"kind": "noted", "text": "Ω µ °"})
    store.place(visit, hers, ann)
    photo = photos.add_photo(store, visit, b"\x00\xffpicture", "image/jpeg", "the trap", event=1)
    store.keep_settings({"company": "Example", "labour_rate": 80.5})
    store.keep_settings({"company": "Example & Sons"})
    store.close()

    store = Store(url)
    assert [c.id for c in cards.find_customers(store, "mill 0100")] == [ann]
    assert [c.id for c in cards.find_customers(store, "100%")] == [other]
    assert [b.id for b in cards.find_boilers(store, "exämple")] == [hers]
    assert cards.boiler(store, hers).sheet == {"fuel": "propane"}
    assert [v.id for v in store.visits_to(customer=ann)] == [visit]
    assert store.visit(visit).boiler == hers
    assert photos.picture(store, photo) == b"\x00\xffpicture"
    assert store.settings() == {"company": "Example & Sons", "labour_rate": 80.5}
    cards.change_boiler(store, hers, name="Loft", sheet={"fuel": "natural_gas"})
    assert cards.boiler(store, hers).name == "Loft"
    with pytest.raises(SightportError, match="no boiler number 99"):
        cards.boiler(store, 99)


def test_many_writers_at_once_never_share_a_number(url):
    visit = Store(url).begin("", "v")
    numbers, failed = [], []

    def write():
        own = Store(url)
        try:
            numbers.extend(own.append(visit, {"kind": "noted", "text": "x"}) for _ in range(15))
        except Exception as error:  # told below, whatever it is
            failed.append(error)
        own.close()

    writers = [threading.Thread(target=write) for _ in range(4)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()

    assert failed == []
    assert sorted(numbers) == list(range(1, 61))


def test_many_programs_may_open_a_new_database_at_once(url):
    failed = []

    def open_it():
        try:
            Store(url).close()
        except Exception as error:  # told below, whatever it is
            failed.append(error)

    starters = [threading.Thread(target=open_it) for _ in range(4)]
    for starter in starters:
        starter.start()
    for starter in starters:
        starter.join()

    assert failed == []
    assert Store(url).visits() == ()

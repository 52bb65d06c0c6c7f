"""Old visits of all boilers: what goes, what stays, and that nothing of it can be read again.

All of it invented.
"""

from datetime import datetime, timedelta

import pytest

from engine.__main__ import main
from engine.errors import UnknownVisit
from engine.records import cards, photos
from engine.visit.retention import erase_outdated, older_visits, outdated

TODAY = datetime(2026, 3, 14, 12)
PICTURE = b"\xff\xd8\xff\xe0 not a real photo \x00\x01"
CLOSED = {"kind": "closed", "end": "mended_and_proven", "words": ""}


@pytest.fixture
def keep(store):
    """Keeps a visit whose last entry is so many years old; its id."""

    def kept(words, years, boiler=None, customer=None, closed=True, today=TODAY):
        at = today - timedelta(days=365.2425 * years + 1)
        visit = store.begin(words, "v", begun=at)
        bodies = [{"kind": "opened", "who": "technician"}, {"kind": "noted", "text": words}]
        for body in [*bodies, CLOSED] if closed else bodies:
            store.append(visit, body, at=at)
        store.place(visit, boiler, customer)
        return visit

    return kept


@pytest.fixture
def ann(store):
    return cards.add_customer(store, "Ann Exämple", "1 Mill Lane", "555 0100")


@pytest.fixture
def cellar(store, ann):
    return cards.add_boiler(store, "Ann's cellar", "1 Mill Lane", {"fuel": "propane"}, ann)


def test_what_ended_long_ago_goes_and_nothing_else(store, knowledge, keep, ann, cellar):
    bob = cards.add_customer(store, "Bob Sample")
    loft = cards.add_boiler(store, "Bob's loft", sheet={"fuel": "propane"}, customer=bob)
    unseen = cards.add_boiler(store, "Never visited")
    old, older, younger = keep("cat hides", 5), keep("old", 9, cellar), keep("loft", 3, loft)
    first = keep("loft years ago", 8, loft)
    photos.add_photo(store, older, PICTURE, "image/jpeg")
    photos.add_photo(store, younger, PICTURE, "image/jpeg")

    found = outdated(store, knowledge, 4, TODAY)
    assert found.counted() == "3 visits, 1 photo, 1 boiler, 1 person"
    assert len(store.visits(None)) == 4

    assert erase_outdated(store, knowledge, 4, TODAY) == found
    assert found.going.visits == (old, older, first)
    assert [visit.id for visit in store.visits(None)] == [younger]
    assert {boiler.id for boiler in cards.find_boilers(store)} == {loft, unseen}
    assert cards.boiler(store, loft).sheet == {"fuel": "propane"}
    assert [card.name for card in cards.find_customers(store)] == ["Bob Sample"]
    assert len(photos.photos(store, younger)) == 1
    with pytest.raises(UnknownVisit):
        store.events(older)
    assert outdated(store, knowledge, 4, TODAY).counted() == (
        "no visit, no photo, no boiler, no person"
    )


def test_an_open_visit_stays_with_its_boiler_and_its_customer(store, knowledge, keep, ann, cellar):
    still_open = keep("waits for a part", 12, cellar, closed=False)
    keep("done", 11, cellar)
    unknown = keep("of another program", 12)
    store.append(unknown, {"kind": "of another program"}, at=TODAY - timedelta(days=9000))

    gone = erase_outdated(store, knowledge, 10, TODAY)

    assert {visit.id for visit in store.visits(None)} == {still_open, unknown}
    assert gone.counted() == "1 visit, no photo, no boiler, no person"
    assert gone.left().startswith("2 older visits not ended")
    assert cards.boiler(store, cellar).customer == ann


def test_a_visit_taken_up_again_is_open(store, knowledge, keep):
    visit = keep("ended by mistake", 12)
    assert outdated(store, knowledge, 1, TODAY).going.visits == (visit,)
    store.append(visit, {"kind": "taken_back", "event": 3}, at=TODAY - timedelta(days=9000))

    assert outdated(store, knowledge, 1, TODAY).going.visits == ()


def test_a_person_stays_while_anything_is_kept_for_them(store, knowledge, keep, ann, cellar):
    second = cards.add_boiler(store, "Ann's flat", customer=ann)
    keep("cellar", 12, cellar)
    assert outdated(store, knowledge, 10, TODAY).going.customers == ()
    cards.change_boiler(store, second, customer=None)
    assert [c.id for c in outdated(store, knowledge, 10, TODAY).going.customers] == [ann]
    keep("a call without a boiler", 1, customer=ann)
    assert outdated(store, knowledge, 10, TODAY).going.customers == ()


def test_the_last_entry_counts_and_the_day(store, knowledge, keep):
    keep("two years and a day", 2)
    assert outdated(store, knowledge, 2, TODAY).going.visits
    assert not outdated(store, knowledge, 2, TODAY - timedelta(days=1)).going.visits


def test_of_one_boiler_only_its_ended_visits_are_old(store, knowledge, keep, cellar):
    old = keep("old", 5, cellar)
    keep("open", 5, cellar, closed=False)
    keep("elsewhere", 5)

    assert older_visits(store, knowledge, cellar, 4, TODAY) == (old,)


def test_more_visits_than_a_statement_takes_go_at_once(store, knowledge):
    with store.database.begin() as connection:
        connection.exec_driver_sql(
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 1100) "
            "INSERT INTO visits SELECT i, 'old', '2001-01-01 00:00:00.000000', 'v' FROM n"
        )
        connection.exec_driver_sql(
            "INSERT INTO events SELECT id, 1, begun, "
            """'{"kind": "closed", "end": "mended_and_proven", "words": ""}' FROM visits"""
        )

    assert len(erase_outdated(store, knowledge, 10, TODAY).going.visits) == 1100
    assert store.visits(None) == ()


def test_nothing_of_it_can_be_read_in_the_file(store, knowledge, keep, cellar, tmp_path):
    visit = keep("the cat hides here", 12, cellar)
    photos.add_photo(store, visit, PICTURE, "image/jpeg", "behind the sofa")

    erase_outdated(store, knowledge, 10, TODAY)
    store.close()

    kept = b"".join(path.read_bytes() for path in tmp_path.glob("visits.db*"))
    for words in (b"cat hides", b"Mill Lane", b"Ann", b"555 0100", b"behind the sofa", PICTURE):
        assert words not in kept


def test_the_command_lists_first_and_erases_when_told(
    store, keep, cellar, tmp_path, monkeypatch, capsys
):
    monkeypatch.setenv("SIGHTPORT_DATABASE", f"sqlite:///{tmp_path / 'visits.db'}")
    today = datetime.now()
    old = keep("Mill Lane", 12, cellar, today=today)
    keep("open", 12, closed=False, today=today)

    assert main(["erase", "--older-than-years", "10"]) == 0
    listed = capsys.readouterr().out
    assert "would go: 1 visit, no photo, 1 boiler, 1 person" in listed
    assert f"Visit {old}, " in listed
    assert "Boiler 1: Ann's cellar" in listed
    assert "Person 1: Ann Exämple" in listed
    assert "add --yes" in listed
    assert "1 older visit not ended" in listed
    assert len(store.visits(None)) == 2

    assert main(["erase", "--older-than-years", "10", "--yes"]) == 0
    assert "Erased: 1 visit, no photo, 1 boiler, 1 person." in capsys.readouterr().out
    assert [visit.title for visit in store.visits(None)] == ["open"]
    assert cards.find_customers(store) == ()
    assert main(["erase", "--older-than-years", "10"]) == 0
    assert "--yes" not in capsys.readouterr().out


@pytest.mark.parametrize("years", ["0", "-3", "ten", "1000", ""])
def test_years_that_make_no_sense_erase_nothing(years, capsys):
    with pytest.raises(SystemExit) as left:
        main(["erase", "--older-than-years", years, "--yes"])

    assert left.value.code == 2
    assert "--older-than-years" in capsys.readouterr().err

"""The command line: its exit status, and what goes to which stream."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from engine.__main__ import main
from engine.readings.sheets import SHEETS
from engine.visit import keeping, listing

ROOT = Path(__file__).parents[2]
CASES = ROOT / "tests" / "cases"
CASE = CASES / "worn_electrode.yaml"


def run(*arguments, **settings):
    """A run in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "engine", *map(str, arguments)],
        cwd=ROOT,
        capture_output=True,
        env=os.environ | settings,
        check=False,
    )


def test_a_case_is_answered_with_json_and_status_0(capsys):
    assert main(["consult", str(CASE), "--json"]) == 0

    out, err = capsys.readouterr()
    assert json.loads(out)["status"] in {"ask", "act", "refer"}
    assert err == ""


def test_a_case_is_answered_with_text(capsys):
    assert main(["consult", str(CASE)]) == 0

    out, _ = capsys.readouterr()
    assert "Suspects:" in out


def test_a_wrong_case_is_refused_on_stderr_with_status_2(tmp_path, capsys):
    case = tmp_path / "case.yaml"
    case.write_text("who: technician\nsymptoms: [locks_out]\n")

    assert main(["consult", str(case), "--json"]) == 2

    out, err = capsys.readouterr()
    assert out == ""
    assert err == (
        f"{case}:2: symptoms: there is no complaint 'locks_out'\n"
        "    mend: write 'locks_out_no_flame'\n"
    )


def test_knowledge_that_cannot_be_used_is_refused_with_status_2(tmp_path, capsys):
    folder = tmp_path / "known"
    folder.mkdir()
    (folder / "a.yaml").write_text("causes:\n  x: {nam: X}\n")

    assert main(["--knowledge", str(folder), "consult", str(CASE)]) == 2

    out, err = capsys.readouterr()
    assert out == ""
    assert "known/a.yaml:2: unknown key 'nam'\n    mend: write 'name'; allowed keys: " in err


@pytest.mark.parametrize("hostile", [b"\xff\x00", b"[" * 9000, b"a: &a [*a]", b"\t"])
def test_a_hostile_file_is_refused_with_status_2(tmp_path, capsys, hostile):
    case = tmp_path / "case.yaml"
    case.write_bytes(hostile)

    for arguments in (["consult", str(case)], ["--knowledge", str(tmp_path), "list", "checks"]):
        assert main(arguments) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert "case.yaml:1: " in err
        assert "\n    mend: " in err


def test_a_refusal_is_all_that_is_seen_of_a_hostile_file(tmp_path):
    case = tmp_path / "case.yaml"
    case.write_bytes(b"a: &a [*a]")

    done = run("consult", case, "--json")

    assert done.returncode == 2
    assert done.stdout == b""
    assert done.stderr.decode().splitlines() == [
        f"{case}:1: anchors and aliases are not allowed",
        "    mend: write the value out",
    ]


@pytest.mark.parametrize("kind", listing.KINDS)
def test_every_kind_is_listed_as_json_and_as_text(kind, knowledge, capsys):
    assert main(["list", kind, "--json"]) == 0
    entries = json.loads(capsys.readouterr().out)
    assert main(["list", kind]) == 0
    lines = capsys.readouterr().out.splitlines()

    known = getattr(knowledge, kind)
    assert [entry["id"] for entry in entries] == list(known)
    assert [entry["name"] for entry in entries] == [entry.name for entry in known.values()]
    assert [line.split()[0] for line in lines] == list(known)


def test_an_empty_kind_is_an_empty_list(tmp_path, capsys):
    (tmp_path / "a.yaml").write_text(
        "sources:\n  judgement: {name: Judgement, kind: judgement, seen: n/a}\n"
    )

    assert main(["--knowledge", str(tmp_path), "list", "contexts"]) == 0
    assert capsys.readouterr().out == ""


def test_the_list_of_checks_is_enough_to_write_a_case(knowledge, capsys):
    """Every check says its outcomes, or its fields with unit and its bands."""
    main(["list", "checks", "--json"])

    for entry in json.loads(capsys.readouterr().out):
        check = knowledge.checks[entry["id"]]
        assert list(entry["outcomes"]) == list(check.outcomes)
        assert entry["who"] == check.who
        assert entry["danger"] == [o for o, e in check.outcomes.items() if e.danger]
        if check.reading:
            assert {f: v["unit"] for f, v in entry["fields"].items()} == {
                f: v.unit for f, v in check.reading.fields.items()
            }
            assert [b["outcome"] for b in entry["bands"]] == [
                b.outcome for b in check.reading.bands
            ]
            assert entry["bands"][0]["from"] is None
            assert entry["bands"][-1]["below"] is None


def test_a_case_written_from_the_lists_is_answered(tmp_path, capsys):
    """Another program needs nothing but the lists."""
    main(["list", "checks", "--json"])
    checks = json.loads(capsys.readouterr().out)
    main(["list", "symptoms", "--json"])
    symptoms = json.loads(capsys.readouterr().out)
    symptom = next(s["id"] for s in symptoms if not s["danger"])
    seen = next(c for c in checks if not c.get("fields") and not c["derived"] and not c["danger"])
    findings = [{"check": seen["id"], "outcome": list(seen["outcomes"])[-1]}]
    case = tmp_path / "case.yaml"
    case.write_text(json.dumps({"symptoms": [symptom], "findings": findings}))

    assert main(["consult", str(case), "--json"]) == 0


def test_a_wrong_command_says_how_to_use_it():
    done = run("consult")

    assert done.returncode == 2
    assert b"usage: python -m engine" in done.stderr


def test_a_terminal_without_the_signs_of_the_trade_gets_an_answer_all_the_same():
    """A plain ASCII console cannot show every sign, which is no reason to show a traceback."""
    for arguments in (("consult", CASE), ("list", "checks", "--json")):
        done = run(*arguments, PYTHONIOENCODING="ascii")
        assert done.returncode == 0
        assert b"Traceback" not in done.stderr


def test_a_visit_is_walked_from_the_command_line(tmp_path):
    url = f"sqlite:///{tmp_path / 'visits.db'}"
    begun = subprocess.run(
        [sys.executable, "-m", "engine", "visit"],
        cwd=ROOT,
        input="3\nMrs Example\ngas_smell\nquit\n",
        capture_output=True,
        text=True,
        env=os.environ | {"SIGHTPORT_DATABASE": url},
        check=False,
    )

    assert begun.returncode == 0
    assert "Go on with: python -m engine visit 1" in begun.stdout
    gone_on = run("visit", 1, SIGHTPORT_DATABASE=url)
    assert gone_on.returncode == 0
    assert b"STOP" in gone_on.stdout


def test_an_unknown_visit_is_refused_with_status_2(tmp_path):
    done = run("visit", 7, SIGHTPORT_DATABASE=f"sqlite:///{tmp_path / 'visits.db'}")

    assert done.returncode == 2
    assert done.stderr == b"there is no visit number 7\n"


@pytest.mark.parametrize("url", ["nonsense", "sqlite:////no/such/folder/visits.db"])
def test_a_database_that_cannot_be_opened_is_said_in_a_sentence(url):
    done = run("visit", SIGHTPORT_DATABASE=url)

    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert done.stderr.startswith(b"visits cannot be kept in this database: ")


def test_a_reader_who_has_seen_enough_is_no_error():
    done = subprocess.run(
        f"{sys.executable} -m engine list checks --json | head -1",
        shell=True,
        cwd=ROOT,
        capture_output=True,
        check=False,
    )

    assert done.stdout == b"[\n"
    assert done.stderr == b""


def test_readings_lists_its_sheets_and_what_each_takes(capsys):
    assert main(["readings"]) == 0
    assert [line.split()[0] for line in capsys.readouterr().out.splitlines()] == list(SHEETS)

    for page in SHEETS.values():
        assert main(["readings", page.id]) == 0
        lines = capsys.readouterr().out.splitlines()
        assert [line.split()[0] for line in lines[: len(page.entries)]] == [
            entry.name for entry in page.entries
        ]


def test_readings_are_answered_as_text_and_as_json(capsys):
    """87 ppm at 5 % O2 is 114 ppm air-free: hvacrschool.com, What Does Air Free CO Mean."""
    line = ["readings", "flue_gas", "o2=5 %", "co=87 ppm", "--rate", "low"]
    assert main(line) == 0
    assert "CO air-free 114" in capsys.readouterr().out

    assert main([*line, "--json"]) == 0
    verdicts = json.loads(capsys.readouterr().out)["verdicts"]
    (co,) = [v["figure"] for v in verdicts if v["check"] == "co_low_fire"]
    assert (round(co["value"]), co["unit"]) == (114, "ppm")


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["flue_gsa"], "there is no sheet 'flue_gsa'; write 'flue_gas'"),
        (["flue_gsa", "o2=5 %"], "there is no sheet 'flue_gsa'; write 'flue_gas'"),
        (["vent", "lenght=5 m"], "'lenght' is neither an entry of sheet 'vent' nor a fact; write "
                                 "'length'"),
        (["vent", "5 m"], "'5 m' has no value; write it as 5 m=VALUE with a unit"),
        (["flue_gas", "o2=5 %", "--fuel", "propan"], "gas 'propan' is not known; write 'propane'"),
        (["flue_gas", "o2=5 %", "--rate", "full"],
         "sheet 'flue_gas' has no rate 'full'; use one of high, low"),
        (["vent", "altitude=high"], "'high' does not start with a number; write a length such as"),
    ],
)  # fmt: skip
def test_readings_that_make_no_sense_are_refused_with_status_2(capsys, arguments, sentence):
    assert main(["readings", *arguments]) == 2

    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(sentence)
    assert len(err.splitlines()) == 1


def test_a_visit_goes_out_and_comes_in_again(store, knowledge, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("SIGHTPORT_DATABASE", f"sqlite:///{tmp_path / 'visits.db'}")
    visit = keeping.begin(store, knowledge, "technician", "cellar")
    assert main(["export", "--visit", str(visit)]) == 0
    file = tmp_path / "visit.json"
    file.write_text(capsys.readouterr().out)

    assert main(["import", str(file)]) == 0
    assert "visits 2" in capsys.readouterr().out
    assert [e.body for e in store.events(2)] == [e.body for e in store.events(visit)]
    assert main(["export", "--schema"]) == 0
    assert set(json.loads(capsys.readouterr().out)["required"]) == {"visits"}


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["export", "--visit", "99"], "no visit number 99"),
        (["export", "--boiler", "99"], "no boiler number 99"),
        (["import", "no-such-file.json"], "cannot be read"),
    ],
)
def test_what_cannot_go_out_or_in_is_said(arguments, said, store, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("SIGHTPORT_DATABASE", f"sqlite:///{tmp_path / 'visits.db'}")
    assert main(arguments) == 2
    assert said in capsys.readouterr().err

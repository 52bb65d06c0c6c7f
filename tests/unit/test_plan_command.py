"""Problems in the neutral form on the command line: what is printed, and what is refused."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.__main__ import main
from engine.planner.policies import POLICIES

ROOT = Path(__file__).parents[2]

GOOD = """{
  "causes": [
    {"id": "a", "prior": 0.5, "repair": {"minutes": 10, "access": "door"}},
    {"id": "b", "prior": 0.5, "repair": {"minutes": 20, "works": 1.0}}
  ],
  "checks": [
    {"id": "t", "minutes": 3, "access": null, "outcomes": ["no", "yes"],
     "otherwise": [1.0, 0.0],
     "given": {"a": [0.0, 1.0]}}
  ],
  "access": {
    "hatch": {"within": null, "open": 1, "close": 1, "shut_to_run": true},
    "door": {"within": "hatch", "open": 2}
  },
  "proof": {"minutes": 6, "catches": 1.0},
  "refer": {"minutes": 300},
  "faults": "one"
}
"""


@pytest.fixture
def plan(tmp_path, capsys):
    """Run the command on a text; its status, what it printed, and what it complained of."""

    def run(text, *options):
        path = tmp_path / "problem.json"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        status = main(["plan", str(path), *options])
        out, err = capsys.readouterr()
        return status, out, err.replace(f"{path}:", "")

    return run


def answer(plan, problem, *options):
    status, out, err = plan(problem if isinstance(problem, str) else json.dumps(problem), *options)
    assert (status, err) == (0, "")
    return json.loads(out)


def refusal(plan, text):
    status, out, err = plan(text)
    assert (status, out) == (2, "")
    return err


def spoilt(*changes):
    text = GOOD
    for old, new in changes:
        assert text.count(old) == 1
        text = text.replace(old, new)
    return text


# --- answers -------------------------------------------------------------------------------------


def test_a_small_problem_is_answered_exactly(plan):
    """By hand. The check tells all for 3: then 10 behind the door (1 + 1 + 2) or 20, and a proof
    of 6: 3 + (14 + 20) / 2 + 6 = 26. Without it the first repair is 14 + 6 and half the time 20 + 6
    more: 33, and knowing the cause from the start saves the check: 23."""
    found = answer(plan, GOOD)
    assert list(found) == [
        "first",
        "expected_minutes",
        "standard_error",
        "visits",
        "seed",
        "optimum",
        "policies",
        "notes",
        "seconds",
    ]
    assert found["first"] == {"kind": "check", "id": "t"}
    assert found["expected_minutes"] == pytest.approx(26)
    assert found["optimum"] == pytest.approx(26)
    assert [found[key] for key in ("standard_error", "visits", "seed")] == [None] * 3
    assert list(found["policies"]) == [*POLICIES, "all_knowing"]
    assert found["policies"]["probability_over_cost"] == pytest.approx(33)
    assert found["policies"]["all_knowing"] == pytest.approx(23)
    assert found["notes"] == []
    assert found["seconds"] >= 0


def test_the_first_step_may_be_a_repair_or_a_referral(plan):
    """By hand: a check of 30 minutes saves less than it takes; a referral for less than the
    cheapest step is taken at once."""
    dear = answer(plan, spoilt(('"minutes": 3,', '"minutes": 30,')))
    assert dear["first"] == {"kind": "repair", "id": "a"}
    assert dear["expected_minutes"] == pytest.approx(33)
    cheap = answer(plan, spoilt(('"minutes": 300', '"minutes": 2')))
    assert cheap["first"] == {"kind": "refer", "id": None}
    assert cheap["expected_minutes"] == pytest.approx(2)


def test_visits_are_simulated_where_places_are_too_many(plan):
    found = answer(plan, GOOD, "--most-places", "0", "--visits", "400", "--seed", "7")
    assert (found["visits"], found["seed"]) == (400, 7)
    assert abs(found["expected_minutes"] - 26) <= 4 * found["standard_error"]
    assert found["expected_minutes"] == found["policies"]["ours"]
    assert (
        f"ours: mean of 400 simulated visits, standard error {found['standard_error']:.2g}"
        in (found["notes"])
    )
    # In each visit the check is saved that all the others make: the same visits for everybody.
    assert found["policies"]["myopic"] == pytest.approx(found["expected_minutes"])


def test_the_same_file_is_answered_the_same(plan):
    options = ("--most-places", "0", "--visits", "50")
    once, again = (answer(plan, GOOD, *options) for _ in range(2))
    assert once | {"seconds": 0} == again | {"seconds": 0}


def test_priors_that_do_not_sum_to_one_are_scaled_and_it_is_said(plan):
    found = answer(
        plan,
        spoilt(
            ('"a", "prior": 0.5', '"a", "prior": 0.3'), ('"b", "prior": 0.5', '"b", "prior": 0.3')
        ),
    )
    assert found["notes"] == ["the priors sum to 0.6 and were scaled to 1"]
    assert found["expected_minutes"] == pytest.approx(26)


def test_independent_priors_are_not_scaled(plan):
    """Conditional odds of one or both of two even causes are 1 : 1 : 1. By hand: repairs alone for
    a fixed price of 10 each, proof 0: 10 in a third of the cases, 20 in the others."""
    problem = {
        "causes": [{"id": i, "prior": 0.5, "repair": {"minutes": 10}} for i in "ab"],
        "refer": {"minutes": 1000},
        "faults": "up_to_two",
    }
    found = answer(plan, problem)
    assert found["notes"] == []
    assert found["expected_minutes"] == pytest.approx(10 / 3 + 20 * 2 / 3)


def test_causes_near_certainty_are_still_weighed(plan):
    """By hand. Of three causes that are all but certain two are present, each pair alike: after a
    and b, in this order, the rest is mended in one of three cases, and c is needed in two."""
    problem = {
        "causes": [{"id": i, "prior": 1 - 1e-9, "repair": {"minutes": 10}} for i in "abc"],
        "refer": {"minutes": 1000},
        "faults": "up_to_two",
    }
    assert answer(plan, problem)["expected_minutes"] == pytest.approx((20 + 30 + 30) / 3)


def test_rows_with_rounding_are_taken_as_shares_of_their_sum(plan):
    """By hand: .333 .333 .333 is a third each, so it tells nothing, and 33 are left as without."""
    third = '"given": {"a": [0.333, 0.333, 0.333]}'
    found = answer(
        plan,
        spoilt(
            ('["no", "yes"]', '["no", "yes", "both"]'),
            ("[1.0, 0.0]", "[0.333, 0.333, 0.333]"),
            ('"given": {"a": [0.0, 1.0]}', third),
        ),
    )
    assert found["expected_minutes"] == pytest.approx(33)


def test_what_json_allows_is_read(plan):
    """Tabs, a mark of byte order, escapes, exponents: all in RFC 8259."""
    text = "\ufeff" + GOOD.replace("  ", "\t").replace('"t"', '"\\u0074\\/\\ud83d\\ude00"')
    found = answer(plan, text.replace("300", "3.0e+2"))
    assert found["first"] == {"kind": "check", "id": "t/\U0001f600"}


def test_a_process_of_its_own_prints_json_and_nothing_else(tmp_path):
    path = tmp_path / "problem.json"
    path.write_text(GOOD)
    run = subprocess.run(
        [sys.executable, "-m", "engine", "plan", str(path)],
        cwd=ROOT,
        capture_output=True,
        env=os.environ | {"SIGHTPORT_KNOWLEDGE": str(tmp_path / "nowhere")},
        check=False,
    )
    assert (run.returncode, run.stderr) == (0, b"")
    assert json.loads(run.stdout)["first"]["kind"] == "check"


# --- refusals ------------------------------------------------------------------------------------

WRONG = {
    "an unknown key": (
        [('"works": 1.0', '"work": 1.0')],
        "4: causes, 'b': unknown key 'work'\n"
        "    mend: write 'works'; allowed keys: minutes, works, access\n",
    ),
    "an unknown key on top": (
        [('"refer"', '"refre"')],
        "16: unknown key 'refre'\n"
        "    mend: write 'refer'; allowed keys: causes, checks, repairs, access, proof, refer, "
        "faults\n"
        "1: key 'refer' is missing\n    mend: add 'refer' here\n",
    ),
    "an unknown access": (
        [('"access": "door"', '"access": "dor"')],
        "3: causes, 'a': there is no access 'dor'\n    mend: write 'door'\n",
    ),
    "an unknown cover round a cover": (
        [('"within": "hatch"', '"within": "roof"')],
        "13: access, 'door': there is no access 'roof'\n    mend: choose from: hatch, door\n",
    ),
    "a circle": (
        [('"within": null', '"within": "door"')],
        "12: access, 'hatch': covers lie within each other in a circle: hatch in door in hatch\n"
        "    mend: let the outermost lie within null\n",
    ),
    "a cover within itself": (
        [('"within": null', '"within": "hatch"')],
        "12: access, 'hatch': covers lie within each other in a circle: hatch in hatch\n"
        "    mend: let the outermost lie within null\n",
    ),
    "an unknown cause": (
        [('"given": {"a"', '"given": {"c"')],
        "9: checks, 't': there is no cause 'c'\n    mend: choose from: a, b\n",
    ),
    "a row of the wrong length": (
        [('"a": [0.0, 1.0]', '"a": [0.0, 0.5, 0.5]')],
        "9: checks, 't': a: there are 3 numbers for 2 outcomes\n"
        "    mend: write one number for each of: no, yes\n",
    ),
    "a row that does not sum to one": (
        [('"a": [0.0, 1.0]', '"a": [0.1, 0.8]')],
        "9: checks, 't': a: the row sums to 0.9, not to 1\n    mend: let it sum to 1\n",
    ),
    "a background that does not sum to one": (
        [("[1.0, 0.0]", "[0.0, 0.0]")],
        "8: checks, 't': otherwise: the row sums to 0, not to 1\n    mend: let it sum to 1\n",
    ),
    "priors that are all zero": (
        [('"a", "prior": 0.5', '"a", "prior": 0'), ('"b", "prior": 0.5', '"b", "prior": 0')],
        "2: every prior is 0\n    mend: give one cause at least a prior above 0\n",
    ),
    "a prior above one": (
        [('"a", "prior": 0.5', '"a", "prior": 50')],
        "3: causes, 'a': prior: 50 is above 1\n    mend: write a share from 0 to 1\n",
    ),
    "the same id twice": (
        [('"id": "b"', '"id": "a"')],
        "4: causes, 'a': the id 'a' is taken\n    mend: choose another id\n",
    ),
    "the same outcome twice": (
        [('["no", "yes"]', '["yes", "yes"]')],
        "7: checks, 't': the outcome 'yes' stands twice\n    mend: keep one of them\n",
    ),
    "a key twice": (
        [('"open": 1, "close": 1', '"open": 1, "open": 1')],
        "12: key 'open' is written twice\n    mend: keep one of the two\n",
    ),
    "negative minutes": (
        [('"minutes": 3,', '"minutes": -3,')],
        "7: checks, 't': minutes: -3 is below 0\n    mend: write 0 or more\n",
    ),
    "endless minutes": (
        [('"minutes": 3,', '"minutes": 1e999,')],
        "7: checks, 't': minutes: inf is too much\n    mend: write the minutes that it takes\n",
    ),
    "NaN": (
        [('"minutes": 3,', '"minutes": NaN,')],
        "7: this is not JSON: NaN is no value\n    mend: write a number, or text in quotes\n",
    ),
    "a number in quotes": (
        [('"minutes": 3,', '"minutes": "3",')],
        "7: checks, 't': minutes: \"3\" is not a number\n    mend: write a number\n",
    ),
    "truth for a number": (
        [('"minutes": 3,', '"minutes": true,')],
        "7: checks, 't': minutes: true is not a number\n    mend: write a number\n",
    ),
    "a number for truth": (
        [('"shut_to_run": true', '"shut_to_run": 1')],
        "12: access, 'hatch': shut_to_run: 1.0 is not true or false\n"
        "    mend: write true or false\n",
    ),
    "text for a list": (
        [('["no", "yes"]', '"no"')],
        "7: checks, 't': outcomes: \"no\" is not a list\n    mend: write a list\n",
    ),
    "three faults": (
        [('"faults": "one"', '"faults": "three"')],
        "17: 'three' is not allowed as 'faults'\n    mend: choose 'one' or 'up_to_two'\n",
    ),
    "no id": (
        [('"id": "t", ', "")],
        "7: checks, 1: key 'id' is missing\n    mend: add 'id' here\n",
    ),
}


@pytest.mark.parametrize(("changes", "expected"), WRONG.values(), ids=WRONG)
def test_a_mistake_is_shown_where_it_stands_and_how_to_mend_it(plan, changes, expected):
    assert sorted(refusal(plan, spoilt(*changes)).split("\n")) == sorted(expected.split("\n"))


def test_all_mistakes_are_shown_at_once(plan):
    """Of shape and of sense, in entries that are otherwise sound and in one that is not."""
    changes = [change for name in (
        "an unknown key", "an unknown access", "a row that does not sum to one", "a circle",
        "negative minutes", "three faults",
    ) for change in WRONG[name][0] if name != "negative minutes"]  # fmt: skip
    err = refusal(plan, spoilt(*changes, ('"minutes": 6', '"minutes": -6')))
    assert [line.split(":")[0] for line in err.splitlines()[::2]] == [
        "3",
        "4",
        "9",
        "12",
        "15",
        "17",
    ]


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("", 1, "this is not JSON: the file ends too early"),
        ("null", 1, "this is not JSON: the file says null"),
        ('{"causes": [],\n "causes"', 2, "this is not JSON: a colon is missing after 'causes'"),
        ('{"causes": [\n1,\n]}', 3, "this is not JSON: a value is missing before ']'"),
        ("{'causes': 1}", 1, "this is not JSON: a key in double quotes is missing"),
        ("{\ncauses: 1}", 2, "this is not JSON: a key in double quotes is missing"),
        ('{"causes": [1 2]}', 1, "this is not JSON: a comma or ']' is missing"),
        ('{"causes": 01}', 1, "this is not JSON: 01 is no value"),
        ('{"causes": 1.}', 1, "this is not JSON: 1. is no value"),
        ('{"a": 1} x', 1, "this is not JSON: something stands after the end of the problem"),
        ('{"causes": "\n"}', 1, "this is not JSON: invalid control character at"),
        ('{"causes": "\\x"}', 1, "this is not JSON: invalid \\escape"),
        ("[" * 100_000, 1, "values are nested deeper than 12"),
        ("[1]", 1, "file: [1.0] is not an object with keys"),
        ("7", 1, "file: 7.0 is not an object with keys"),
        ('{"refer": {"minutes": 5}, "causes": []}', 1, "causes is empty"),
        (b"{\n\xff}", 2, "the file is not UTF-8 text"),
        (b"\x00\x00", 1, "this is not JSON: a value is missing before '\\x00'"),
    ],
)
def test_what_is_not_a_problem_is_refused_without_a_traceback(plan, text, line, said):
    err = refusal(plan, text)
    assert f"{line}: {said}" in err
    assert "\n    mend: " in err


def _paths(value, path=()):
    yield path
    entries = enumerate(value) if isinstance(value, list) else ()
    for key, part in value.items() if isinstance(value, dict) else entries:
        yield from _paths(part, (*path, key))


PARTS = sorted((path for path in _paths(json.loads(GOOD)) if path), key=str)
VALUES = [
    None,
    True,
    -1,
    0,
    0.5,
    1e9,
    1e308,
    "",
    "a",
    "hatch",
    [],
    {},
    [[]],
    [None],
    [1],
    {"a": {}},
]


@settings(max_examples=150)
@given(path=st.sampled_from(PARTS), value=st.sampled_from(VALUES), gone=st.booleans())
def test_whatever_stands_in_a_place_is_answered_or_refused(plan, path, value, gone):
    problem = json.loads(GOOD)
    *way, last = path
    place = problem
    for step in way:
        place = place[step]
    if gone:
        del place[last]
    else:
        place[last] = value
    status, out, err = plan(json.dumps(problem))
    if status == 0:
        assert err == ""
        assert json.loads(out)["first"]["kind"] in {"check", "repair", "proof", "refer"}
    else:
        assert (status, out) == (2, "")
        assert err.count("\n    mend: ") == len(err.splitlines()) / 2


def test_a_file_that_is_not_there_is_refused(tmp_path, capsys):
    assert main(["plan", str(tmp_path / "none.json")]) == 2
    assert "none.json:1: the file cannot be read: No such file or directory" in (
        capsys.readouterr().err
    )


def test_a_problem_that_does_not_fit_is_refused(plan):
    """A thousand causes, up to two of them at once, are half a million sets of causes."""
    causes = [{"id": f"c{i}", "prior": 0.01} for i in range(1000)]
    problem = {"causes": causes, "refer": {"minutes": 60}, "faults": "up_to_two"}
    assert "1: the problem is too large: 500501 sets of causes" in refusal(
        plan, json.dumps(problem)
    )


def test_more_certain_causes_than_may_be_present_are_refused(plan):
    causes = [{"id": i, "prior": 1} for i in "abc"]
    problem = {"causes": causes, "refer": {"minutes": 60}, "faults": "up_to_two"}
    assert "3 causes are certain, but at most two are present" in refusal(plan, json.dumps(problem))


@pytest.mark.parametrize(
    "options", [("--visits", "1"), ("--visits", "x"), ("--seed", "-1"), ("--most-places", "1.5")]
)
def test_options_out_of_range_are_refused(plan, options, capsys):
    with pytest.raises(SystemExit) as stopped:
        plan(GOOD, *options)
    assert stopped.value.code == 2
    assert "a whole number from" in capsys.readouterr().err

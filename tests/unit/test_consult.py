"""One case from a file: the form that other programs rely on, and every way it can be wrong."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.errors import Unusable
from engine.visit.consult import as_json, consult
from engine.visit.text import as_text

CASE = """\
who: technician
facts: {fuel: natural_gas, altitude: 300 m, rated_input: 32 kW}
symptoms: [locks_out_no_flame]
contexts: [cold_snap]
suspected: [spark_electrode_worn]
findings:
  - {check: inlet_gas_pressure_running, value: 4.1 inH2O}
  - {check: spark_seen, outcome: steady_spark}
  - {check: mixture_high_fire, values: {o2: 5.0 %, co2: 9.0 %}}
unable: [flame_current]
"""


@pytest.fixture
def answer(tmp_path, knowledge):
    """The view of a case as it is printed."""

    def answer(text):
        path = tmp_path / "case.yaml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        _, view = consult(knowledge, path)
        return json.loads(json.dumps(as_json(knowledge, view), allow_nan=False))

    return answer


@pytest.fixture
def refusal(tmp_path, answer):
    """What is said about a case that cannot be used, without the folder it lies in."""

    def refusal(text):
        with pytest.raises(Unusable) as error:
            answer(text)
        return [str(p).replace(f"{tmp_path}/", "") for p in error.value.problems]

    return refusal


def test_the_answer_has_the_agreed_form(answer):
    """Section by section as the contract names it."""
    view = answer(CASE)

    assert set(view) >= {
        "status", "suspects", "none_of_these", "remainder", "next", "ranking", "actions",
        "cautions", "closing", "expected_minutes", "unusual", "calculations",
    }  # fmt: skip
    assert view["status"] in {"ask", "act", "stop", "refer", "closed"}
    assert set(view["suspects"][0]) == {"cause", "name", "probability"}
    assert set(view["next"]) == {
        "kind", "id", "name", "minutes", "minutes_saved", "access", "separates", "cautions",
    }  # fmt: skip
    assert set(view["ranking"][0]) == {"kind", "id", "expected_minutes"}
    assert all(set(a) == {"id", "for", "name"} for a in view["actions"])
    assert set(view["calculations"][0]) >= {"name", "value", "unit"}
    assert isinstance(view["expected_minutes"], float)


def test_ids_in_the_answer_are_ids_of_the_knowledge(answer, knowledge):
    view = answer(CASE)

    assert {s["cause"] for s in view["suspects"]} <= set(knowledge.causes)
    assert {a["id"] for a in view["actions"]} <= set(knowledge.actions)
    assert {a["for"] for a in view["actions"]} <= set(knowledge.causes)
    assert set(view["next"]["access"]) <= set(knowledge.access)
    assert set(view["next"]["separates"]) <= set(knowledge.causes)
    known = {"check": knowledge.checks, "action": knowledge.actions, "refer": {"refer"}}
    assert all(o["id"] in known[o["kind"]] for o in view["ranking"])


def test_suspects_and_ranking_come_best_first(answer):
    view = answer(CASE)

    chances = [round(s["probability"], 12) for s in view["suspects"]]  # equal ones by name
    minutes = [o["expected_minutes"] for o in view["ranking"]]
    assert chances == sorted(chances, reverse=True)
    assert minutes[1:] == sorted(minutes[1:])
    assert minutes[0] <= minutes[1] + max(0.01 * minutes[1], 1)  # about as good, at the worst
    assert view["next"]["minutes_saved"] == pytest.approx(max(minutes[1] - minutes[0], 0))


def test_what_cannot_be_done_is_not_advised(answer):
    before = answer(CASE)["next"]["id"]

    after = answer(CASE.replace("unable: [flame_current]", f"unable: [flame_current, {before}]"))

    assert after["next"]["id"] != before
    assert before not in {o["id"] for o in after["ranking"]}


def test_a_figure_comes_with_value_and_unit(answer):
    """CO air-free = CO * 20.9 / (20.9 - O2): 100 ppm at 5 % O2 is 131.4 ppm."""
    view = answer(CASE.replace("unable:", "  - {check: co_high_fire, value: 100 ppm}\nunable:")
                  .replace("value: 100 ppm", "values: {co: 100 ppm}"))  # fmt: skip

    (figure,) = [c for c in view["calculations"] if c["name"] == "co_air_free"]
    assert figure["unit"] == "ppm"
    assert figure["value"] == pytest.approx(100 * 20.9 / 15.9, abs=0.5)


def test_the_accuracy_of_the_instruments_may_be_stated(answer):
    """Air-free CO is CO times a factor of O2: 20 % of the CO are 10 % for one deviation."""
    case = CASE.replace("unable:", """\
  - {check: co_high_fire, values: {co: 100 ppm, o2: 5 %}}
instruments: {co_cell: {of_reading: 20 %}, o2_cell: {at_least: 0.0001 %}}
unable:""")  # fmt: skip

    (figure,) = [c for c in answer(case)["calculations"] if c["name"] == "co_air_free"]
    assert figure["deviation"] == pytest.approx(0.1 * figure["value"], rel=1e-3)


@pytest.mark.parametrize(
    ("instruments", "what", "mend"),
    [
        ("{co_sell: {at_least: 5 ppm}}", "there is no instrument 'co_sell'", "write 'co_cell'"),
        ("{zz: {at_least: 5 ppm}}", "there is no instrument 'zz'", "see 'list instruments'"),
        ("{co_cell: {at_least: 5 mbar}}", "'5 mbar' is not a share of the dry gas",
         "write a share of the dry gas such as '9 %' or '45 ppm'"),
        ("{co_cell: {of_reading: 3}}", "'3' has no unit",
         "write a share of the reading such as '3 %'"),
        ("{co_cell: {of_reading: -3 %}}", "an accuracy of '-3 %' is below zero",
         "write it without a sign"),
        ("{co_cell: {of_reading: 90 %}}",
         "an accuracy of '90 %' of the reading tells next to nothing", "check the decimal point"),
        ("{co_cell: {of_reading: 0 %}}", "no instrument is exact",
         "write a share of the reading, a least figure, or both"),
        ("{o2_cell: {at_least: 20 %}}", "with an accuracy of '20 %' nothing is left of "
         "'O2 in the dry flue gas', which lies between 0 % and 21 %",
         "check the unit and the decimal point"),
    ],
)  # fmt: skip
def test_an_accuracy_that_cannot_be_is_refused_with_its_line(refusal, instruments, what, mend):
    said = refusal(f"symptoms: [locks_out_no_flame]\ninstruments: {instruments}\n")
    assert said == [f"case.yaml:2: instruments: {what}\n    mend: {mend}"]


def test_an_unknown_key_of_an_accuracy_lists_the_allowed_ones(refusal):
    (said,) = refusal("symptoms: [locks_out_no_flame]\ninstruments: {co_cell: {share: 3 %}}\n")
    assert "unknown key 'share'" in said
    assert "allowed keys: of_reading, at_least" in said


def test_the_order_of_findings_in_a_case_does_not_matter(answer):
    lines = CASE.splitlines(keepends=True)
    turned = "".join([*lines[:6], *reversed(lines[6:9]), *lines[9:]])

    one, other = answer(CASE), answer(turned)

    assert [s["cause"] for s in one["suspects"]] == [s["cause"] for s in other["suspects"]]
    assert [s["probability"] for s in one["suspects"]] == pytest.approx(
        [s["probability"] for s in other["suspects"]], rel=0, abs=1e-9
    )


@pytest.mark.parametrize("symptom", ["gas_smell", "co_alarm", "scorching", "flue_gas_in_room"])
def test_a_danger_sign_is_answered_with_stop(answer, knowledge, symptom):
    view = answer(f"symptoms: [locks_out_no_flame, {symptom}]\n")

    assert view["status"] == "stop"
    assert view["next"] is None
    assert view["ranking"] == []
    assert view["actions"] == []
    assert set(knowledge.symptoms[symptom].danger.advice) <= set(view["cautions"])


def case(*findings, facts=""):
    entries = "".join(f"  - {{check: {finding}}}\n" for finding in findings)
    return f"symptoms: [locks_out_no_flame]\nfacts: {{{facts}}}\nfindings:\n{entries}"


LEAN = "mixture_high_fire, values: {co2: 6 %}, sure: yes"
STOPS = [
    # CO alone is air-free at least what was read; the typical limit is 400 ppm (facts.yaml).
    (case("co_high_fire, value: 405 ppm"), True),
    (case("co_low_fire, value: 405 ppm"), True),
    (case("co_high_fire, value: 395 ppm"), False),
    # By CO2: 300 ppm times 11.8/6 are 590 ppm air-free, times 11.8/10.5 are 337 ppm.
    (case(LEAN, "co_high_fire, value: 300 ppm"), True),
    (case("co_high_fire, value: 300 ppm", LEAN), True),
    (case("mixture_high_fire, values: {co2: 10.5 %}", "co_high_fire, value: 300 ppm"), False),
    # 70 ppm at 5 % O2 are 92 ppm.
    (case("co_high_fire, values: {co: 70 ppm, o2: 5 %}", facts="co_limit: 80 ppm"), True),
    (case("co_high_fire, values: {co: 70 ppm, o2: 5 %}"), False),
    # O2 under 1 %, on both gases; 1.5 % is rich.
    (case("mixture_high_fire, values: {o2: 0.7 %}, sure: yes"), True),
    (case("mixture_low_fire, values: {o2: 0.7 %}, sure: yes", facts="fuel: propane"), True),
    (case("mixture_high_fire, values: {co2: 13.4 %}, sure: yes", facts="fuel: propane"), True),
    (case("mixture_high_fire, values: {o2: 1.5 %}, sure: yes"), False),
    # Beyond what valves are made for: 60 mbar, 75 mbar for supplies of propane.
    (case("inlet_gas_pressure_static, value: 62 mbar, sure: yes"), True),
    (case("inlet_gas_pressure_static, value: 62 mbar, sure: yes", facts="fuel: propane"), False),
    (case("inlet_gas_pressure_static, value: 77 mbar, sure: yes", facts="fuel: propane"), True),
]


@pytest.mark.parametrize(("text", "stops"), STOPS)
def test_a_dangerous_reading_stops_the_visit_and_one_below_does_not(answer, text, stops):
    view = answer(text)

    assert (view["status"] == "stop") == stops
    if stops:
        assert view["next"] is None
        assert view["ranking"] == []
        assert view["cautions"]


def test_co_alone_below_the_limit_says_nothing_about_the_boiler(answer):
    """Neither better nor worse than the mixture alone, until the O2 of the same moment is known."""
    mixture = "mixture_low_fire, values: {o2: 5 %}"  # of another fire: no help
    without, alone, clean = (
        answer(case(*findings))["suspects"]
        for findings in (
            (mixture,),
            (mixture, "co_high_fire, value: 30 ppm"),
            (mixture, "co_high_fire, values: {co: 30 ppm, o2: 5 %}"),
        )
    )

    assert alone == without
    assert clean != without


def test_swapped_limits_of_the_boiler_are_refused_in_a_sentence(refusal, knowledge):
    least, most = (knowledge.facts[f"co2_high_{end}"].name for end in ("min", "max"))
    swapped = "co2_high_min: 9.5 %, co2_high_max: 8.5 %"

    assert refusal(case("mixture_high_fire, values: {o2: 5 %}", facts=swapped)) == [
        f"case.yaml:4: findings: '{least}' lies above '{most}'\n"
        "    mend: enter both, the lower one first"
    ]


DANGER = (
    "symptoms: [gas_smell]\nfindings:\n  - {check: co_high_fire, values: {co: 560 ppm, o2: 5 %}}\n"
)


@pytest.mark.parametrize(
    ("after", "said"),
    [
        ("  - {check: no_such_check, outcome: x}\n", "there is no check 'no_such_check'"),
        ("  - {check: flame_rod_seen, outcome: blue}\n", "has no outcome 'blue'"),
        ("  - {check: flame_current, value: much}\n", "'much' does not start with a number"),
    ],
)
def test_what_stands_after_a_danger_sign_is_judged_too(refusal, after, said):
    (problem,) = refusal(DANGER + after)

    assert problem.startswith("case.yaml:4: findings: ")
    assert said in problem
    assert "\n    mend: " in problem


@pytest.mark.parametrize(
    ("case", "said"),
    [
        (
            "symptoms: [locks_out_no_flam]\n",
            ["case.yaml:1: symptoms: there is no complaint 'locks_out_no_flam'\n"
             "    mend: write 'locks_out_no_flame'"],
        ),
        (
            "who: plumber\nsymptoms: [weak_flame_signal]\n",
            ["case.yaml:1: who: 'plumber' is not allowed as 'who'\n"
             "    mend: choose 'caller', 'technician_no_gas' or 'technician'"],
        ),
        (
            "symptoms: []\n",
            ["case.yaml:1: no complaint is given\n"
             "    mend: name at least one symptom; see 'list symptoms'"],
        ),
        (
            "who: technician\n",
            ["case.yaml:1: no complaint is given\n"
             "    mend: name at least one symptom; see 'list symptoms'"],
        ),
        (
            "symptoms: [weak_flame_signal]\nfinding: []\n",
            ["case.yaml:2: unknown key 'finding'\n"
             "    mend: write 'findings'; allowed keys: who, facts, instruments, symptoms, "
             "service, contexts, suspected, findings, unable, largest, story, expect, why, missed"],
        ),
        (
            "symptoms: [weak_flame_signal]\nlargest: 4\n",
            ["case.yaml:2: sets of up to 4 causes are not possible\n    mend: write 1, 2 or 3"],
        ),
        (
            "symptoms: [weak_flame_signal]\nfacts: {fuel: wood}\n",
            ["case.yaml:2: facts: 'wood' is no choice for 'Fuel'\n"
             "    mend: choose from natural_gas, propane"],
        ),
        (
            "symptoms: [weak_flame_signal]\nfindings:\n  - {check: flame_rod_seen}\n",
            ["case.yaml:3: findings: finding on 'flame_rod_seen' needs exactly one of 'outcome', "
             "'value', 'values'\n    mend: keep one"],
        ),
        (
            "symptoms: [weak_flame_signal]\nfindings:\n"
            "  - {check: mixture_high_fire, value: 9 %}\n",
            ["case.yaml:3: findings: 'mixture_high_fire' is not a single value\n"
             "    mend: write 'values: {o2: …, co2: …}'"],
        ),
        (
            "who: caller\nsymptoms: [weak_flame_signal]\nfindings:\n"
            "  - {check: flame_rod_seen, outcome: coated}\n",
            ["case.yaml:4: findings: 'See the flame rod' is not for this person: it takes a "
             "licence or tools\n    mend: leave it to somebody who has them"],
        ),
        (
            "symptoms: [weak_flame_signal]\nfindings:\n"
            "  - {check: gas_pressure_sag, outcome: large}\n",
            None,
        ),
    ],
)  # fmt: skip
def test_a_wrong_case_is_refused_with_place_and_mend(refusal, knowledge, case, said):
    problems = refusal(case)

    assert all("\n    mend: " in problem for problem in problems)
    if said and "See the flame rod" in said[0]:
        said = [said[0].replace("See the flame rod", knowledge.checks["flame_rod_seen"].name)]
    if said:
        assert problems == said


def test_an_unlikely_value_says_how_to_let_it_stand(refusal, answer):
    case = (
        "symptoms: [locks_out_no_flame]\nfindings:\n"
        "  - {check: inlet_gas_pressure_running, value: 1.7 mbar}\n"
    )

    (problem,) = refusal(case)

    assert "case.yaml:3: findings: " in problem
    assert "Was that kilopascal?" in problem
    assert problem.endswith("mend: write 'sure: yes' beside it if the value stands")
    assert answer(case.replace("1.7 mbar", "1.7 mbar, sure: yes"))["status"]


def test_all_problems_of_a_case_come_at_once(refusal):
    problems = refusal(
        "who: plumber\nfacts: {fuel: wood}\nsymptoms: [x]\ncontexts: [y]\nunable: [z]\n"
    )

    assert [p.split(": ")[0] for p in problems] == [f"case.yaml:{n}" for n in (1, 2, 3, 4, 5)]


HOSTILE = [
    b"",
    b"\x00",
    b"\xff\xfe\x00",
    b"just text",
    b"- a\n- b\n",
    b"symptoms: &a [*a]\n",
    b"a: &a [x,x]\nb: &b [*a,*a]\nsymptoms: [*b,*b]\n",
    b"symptoms: [locks_out_no_flame]\n---\nsymptoms: [gas_smell]\n",
    b"symptoms: !!python/object/apply:os.system [id]\n",
    b"{" * 5000,
    b"[" * 5000,
    b"symptoms:\n\t- x\n",
    b"symptoms: [" + b"locks_out_no_flame, " * 20000 + b"]\n",
    b"? {a: b}\n: c\n",
    b"symptoms: [locks_out_no_flame]\nfindings: {check: x}\n",
    b"symptoms: locks_out_no_flame\n",
    b"symptoms: [[locks_out_no_flame]]\n",
    b"symptoms: [locks_out_no_flame]\nfindings: [{check: flame_current, value: 1e999 uA}]\n",
    b"symptoms: [locks_out_no_flame]\nfindings: [{check: flame_current, value: nan uA}]\n",
    b"symptoms: [locks_out_no_flame]\nfindings: [{check: flame_current, value: 9**9**9 uA}]\n",
    b"symptoms: [locks_out_no_flame]\nfindings: [{check: flame_current, values: {x: 1 uA}}]\n",
    b"symptoms: [locks_out_no_flame]\nfindings: [{check: '', outcome: ''}]\n",
    b"symptoms: ['']\n",
    b"symptoms: [locks_out_no_flame]\nfacts: {altitude: " + b"9" * 5000 + b" m}\n",
    b"symptoms: [locks_out_no_flame]\nlargest: 99999999999999999999\n",
    b"#" * 1_000_001,
]


@pytest.mark.parametrize("case", HOSTILE, ids=lambda case: repr(case[:40]))
def test_a_hostile_file_is_refused_in_sentences(refusal, case):
    problems = refusal(case)

    assert problems
    assert all(p.startswith("case.yaml:") and "\n    mend: " in p for p in problems)


@settings(max_examples=150)
@given(
    case=st.recursive(
        st.text(max_size=8)
        | st.sampled_from(["who", "symptoms", "findings", "check", "gas_smell"]),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(
                    ["who", "facts", "symptoms", "findings", "check", "value", "largest"]
                ),
                inner,
                max_size=4,
            )
        ),
        max_leaves=12,
    )
)
def test_any_shape_of_case_is_answered_or_refused(tmp_path, knowledge, case):
    path = tmp_path / "case.yaml"
    path.write_text(json.dumps(case))  # JSON is YAML

    try:
        _, view = consult(knowledge, path)
    except Unusable as error:
        problems = error.problems
        assert problems
    else:
        assert view.status


def test_a_case_that_is_not_there_is_refused(knowledge):
    with pytest.raises(Unusable, match=r"nowhere\.yaml:1: the file cannot be read"):
        consult(knowledge, Path("nowhere.yaml"))


def test_the_text_says_the_same_as_the_answer(knowledge):
    cases = sorted((Path(__file__).parents[1] / "cases").glob("*.yaml"))
    views = (consult(knowledge, path)[1] for path in cases)
    view = next(view for view in views if view.next and view.next.cautions)

    said = as_text(knowledge, view)

    assert said.startswith(view.headline)
    first = view.suspects[0]
    assert f"{first.probability:.0%}  {first.name} ({first.word})" in said
    assert "None of the listed causes" in said
    for caution in view.next.cautions:
        assert caution in said
    assert said.index(view.next.cautions[0]) < said.index("  1. ") < said.index("\nWhy:")
    for name in view.closing:
        assert knowledge.closing[name].name in said
    for action in view.actions:
        assert action.name in said


def test_the_text_of_a_stop_is_the_advice_and_no_step(tmp_path, knowledge):
    path = tmp_path / "case.yaml"
    path.write_text("symptoms: [gas_smell]\n")
    _, view = consult(knowledge, path)

    said = as_text(knowledge, view)

    danger = knowledge.symptoms["gas_smell"].danger
    assert said.startswith("STOP")
    assert all(text in said for text in (*danger.advice, *danger.do_not, danger.who_acts))
    assert "Suspects" not in said
    assert "Do not: Do not" not in said

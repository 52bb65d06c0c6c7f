"""The fault path chart as text, on paper, drawn and in a terminal: nothing gets lost on the way."""

import json
import re
from dataclasses import replace
from datetime import date
from io import BytesIO

import pydot
import pypdf
import pytest

from engine import units
from engine.__main__ import main
from engine.errors import UnreadableValue
from engine.visit import chart_words
from engine.visit.chart import Setup, compile_chart
from engine.visit.chart_cut import cut
from engine.visit.chart_marks import came_from, marks
from engine.visit.chart_paper import SIZES, as_pdf
from engine.visit.chart_picture import YOU_ARE_HERE, as_dot
from engine.visit.chart_rows import NAMED
from engine.visit.chart_text import as_json, as_text
from engine.visit.chart_tree import ON, RARE
from engine.visit.paper_letters import NOT_AS_TYPED, held, printable
from tests.charts import SETUPS, ends, shipped, toy, toy_chart

DAY = date(2026, 3, 14)


@pytest.fixture(params=SETUPS)
def chart(request):
    return shipped(request.param)


def flat(text):
    return re.sub(r"\s+", " ", text)


def test_a_chart_says_what_it_was_made_for(knowledge):
    text = flat(as_text(shipped("co")))

    assert knowledge.version in text
    assert "CO limit, air-free and dry: 250 ppm; Altitude of the site: 300 m" in text
    assert "Not entered: Fuel; Rated input, gross; Age of the boiler" in text
    assert re.search(r"\d+ checks, up to 2 in a row; visits that come to an end", text)
    assert "no probabilities from the field" in text
    assert "No substitute for the maker's instructions" in text
    for symptom in knowledge.symptoms.values():
        assert not symptom.danger or symptom.name in text


def test_the_text_holds_every_step_answer_and_end(chart):
    text = flat(as_text(chart))

    for step in chart.steps():
        assert f"{step.number} {step.name}" in text
        for answer in step.answers:
            assert chart_words.answer_words(answer) in text
    for end in ends(chart):
        assert end.says.removeprefix("Stop: ") in text
        for closing in end.prove:
            assert closing in text
    for place in chart.places():
        for caution in place.cautions:
            assert caution in text
    assert max(map(len, as_text(chart).splitlines())) <= 100


def test_the_caution_stands_before_the_first_step(chart):
    text = flat(as_text(chart))
    first = text.index(f"1 {chart.root.name} (about")
    for caution in chart.root.cautions:
        assert text.index(caution) < first


def pages(content):
    return pypdf.PdfReader(BytesIO(content)).pages


def test_the_paper_holds_every_step_answer_and_end(chart):
    read = flat(" ".join(page.extract_text() for page in pages(as_pdf(chart, DAY))))

    for step in chart.steps():
        assert printable(f"{step.number} {step.name}") in read
        assert flat(printable(step.asks)) in read
        for answer in step.answers:
            assert printable(chart_words.answer_words(answer)) in read
    for end in ends(chart):
        if end.kind == ON:
            assert flat(printable(f"Next: {end.onward}.")) in read or "Next as above." in read
            for suspect in end.suspects[:NAMED]:
                assert flat(printable(f"{suspect.name} (")) in read
        elif end.kind != RARE:
            assert flat(printable(f"{end.says.removeprefix('Stop: ')}")) in read
            assert f"{marks(chart).letter(end)} {chart_words.KINDS[end.kind]} " in read
        for closing in end.prove:
            assert flat(printable(f"P{marks(chart).proofs[closing]} {closing}")) in read
    for place in chart.places():
        for caution in place.cautions:
            assert flat(printable(caution)) in read
    assert chart.version in read
    assert "2026-03-14" in read
    assert "no probabilities from the field" in read


def test_the_caution_stands_on_paper_before_the_question(chart):
    read = flat(" ".join(page.extract_text() for page in pages(as_pdf(chart, DAY))))
    marked = marks(chart)

    for step in chart.steps():
        begins = read.index(printable(f" {step.number} {step.name}"))
        asks = read.index(flat(printable(step.asks)), begins)
        if step.cautions:
            named = printable(f"! {marked.cautions_of(step.cautions)}")
            assert begins < read.index(named, begins) < asks
            numbers = {int(n) for n in re.findall(r"\d+", named)}
            assert numbers == {marked.cautions[text] for text in step.cautions}


@pytest.mark.parametrize(("paper", "sides_mm"), [("a4", [297, 210]), ("letter", [279, 216])])
def test_the_paper_is_one_sheet_in_letters_of_at_least_seven_and_a_half_points(
    chart, paper, sides_mm
):
    sizes = set()

    def note(text, _user, _line, _font, size):
        if text.strip():
            sizes.add(size)

    printed = pages(as_pdf(chart, DAY, paper))
    assert len(printed) <= 2
    for page in printed:
        box = (float(page.mediabox.width), float(page.mediabox.height))
        assert [round(side / 72 * 25.4) for side in box] == sides_mm
        page.extract_text(visitor_text=note)
        assert page.extract_text().count("fold") >= 2
    assert min(sizes) >= 7.5
    assert max(SIZES) >= max(sizes)


def test_another_paper_is_refused():
    with pytest.raises(UnreadableValue, match="write a4 or letter"):
        as_pdf(toy_chart(), DAY, "a5")


def test_a_single_side_is_not_counted():
    (page,) = pages(as_pdf(toy_chart(), DAY))
    assert "side 1 of" not in page.extract_text()
    assert "Cut from" not in page.extract_text()


def wordy(lines):
    """The chart of a few lines with a long answer to each check, and much to say before them."""
    chart = compile_chart(toy(bang="Bang" + " and a thump" * 60), Setup(("no_heat",)))
    return replace(chart, to_begin=("Ask once more.",) * lines)


def test_a_chart_too_long_for_one_sheet_is_cut_to_it_and_says_so():
    chart = wordy(290)
    printed = pages(as_pdf(chart, DAY))
    read = flat(" ".join(page.extract_text() for page in printed))

    assert len(printed) == 2
    assert len(chart.steps()) == 4
    left = int(re.search(r"(\d) checks?, up to", read)[1])
    assert 1 <= left < 4
    assert "Cut from 4 checks to fit one sheet." in read
    assert f"{left} {cut(chart, left).steps()[-1].name}" in read
    assert read.count("Ask once more.") == 290


def test_what_no_sheet_holds_runs_on_and_counts_its_sides():
    printed = pages(as_pdf(wordy(600), DAY))

    assert len(printed) > 2
    for number, page in enumerate(printed, 1):
        assert f"side {number} of {len(printed)}" in page.extract_text()


def test_a_paragraph_longer_than_a_panel_loses_no_word():
    said = " ".join(f"word{n}" for n in range(700))
    printed = pages(as_pdf(replace(toy_chart(), to_begin=(said,)), DAY))
    seen = []

    for page in printed:

        def note(text, _user, matrix, _font, _size):
            if text.strip():
                seen.append((text, matrix[5]))

        page.extract_text(visitor_text=note)
    read = flat(" ".join(text for text, _ in seen))
    assert said in read
    assert min(height for _, height in seen) > 0


def test_the_same_day_gives_the_same_paper():
    assert as_pdf(toy_chart(), DAY) == as_pdf(toy_chart(), DAY)


def test_no_sign_of_the_knowledge_is_lost_on_paper(knowledge):
    kinds = ("symptoms", "checks", "actions", "causes", "cautions", "closing", "facts")
    texts = [
        json.dumps(entry.model_dump(mode="json"), ensure_ascii=False)
        for kind in kinds
        for entry in getattr(knowledge, kind).values()
    ]
    texts += [u for quantity in units.QUANTITIES.values() for u in quantity.usual_units]

    assert len(texts) > 200
    for text in texts:
        assert held(text), text


def test_letters_of_many_alphabets_are_printed_and_others_are_owned_up_to():
    typed = "Łukasz Čech Γιώργος Юрий"
    chart = toy_chart()
    whole = as_pdf(replace(chart, version=typed), DAY)
    lacking = as_pdf(replace(chart, version="漢字"), DAY)

    assert typed in flat(" ".join(page.extract_text() for page in pages(whole)))
    assert NOT_AS_TYPED not in flat(" ".join(page.extract_text() for page in pages(whole)))
    assert NOT_AS_TYPED in flat(pages(lacking)[0].extract_text())
    assert "□□" in pages(lacking)[0].extract_text()


def test_each_step_but_the_first_says_where_one_comes_from(chart):
    came = came_from(chart)

    assert set(came) == {step.number for step in chart.steps()} - {1}
    assert all(before < number for number, before in came.items())
    assert [step.number for step in chart.steps()] == list(range(1, len(chart.steps()) + 1))


# ------------------------------------------------------------------ drawn


def drawn(dot):
    (graph,) = pydot.graph_from_dot_data(dot)
    boxes = {n.get_name(): n for n in graph.get_nodes() if n.get_name().startswith("n")}
    boxes.pop("node", None)
    return boxes, graph.get_edges()


def test_the_drawing_has_a_box_for_each_place_and_an_arrow_for_each_answer(chart):
    boxes, arrows = drawn(as_dot(chart))
    places = [p for p in chart.places() if getattr(p, "kind", "") != RARE]

    assert len(boxes) == len(places)
    assert len(arrows) == len(places) - 1
    assert {a.get_destination() for a in arrows} == boxes.keys() - {"n0"}
    texts = flat(" ".join(b.get("label").replace("\\l", " ") for b in boxes.values()))
    for step in chart.steps():
        assert f"{step.number} {step.name}" in texts


def test_a_drawing_needs_no_colour(chart):
    assert "color" not in re.sub("bgcolor=white", "", as_dot(chart))


def test_the_place_where_one_stands_is_marked():
    chart = toy_chart()
    way = ("quiet", "hum")
    boxes, _ = drawn(as_dot(chart, way))
    marked = [b.get("label") for b in boxes.values() if YOU_ARE_HERE in b.get("label")]

    (label,) = marked
    assert f"{chart.along(way)[-1].number}  " in label
    assert YOU_ARE_HERE not in as_dot(chart)


def test_words_that_would_break_a_drawing_are_kept():
    said = r'a "bang\l" or \N {a|b}'
    boxes, arrows = drawn(as_dot(compile_chart(toy(bang=said), Setup(("no_heat",)))))

    assert len(arrows) == len(boxes) - 1
    assert any(r"\"bang\\l\"" in arrow.get("label") for arrow in arrows)


# ------------------------------------------------------------------ in a terminal


def test_a_chart_is_printed_and_written(tmp_path, capsys):
    dot, pdf = tmp_path / "chart.dot", tmp_path / "chart.pdf"
    asked = ["chart", "condensate_backs_up", "--depth", "1", "--fact", "fuel=propane"]

    assert main([*asked, "--dot", str(dot), "--pdf", str(pdf)]) == 0

    out, err = capsys.readouterr()
    assert err == ""
    assert "Boiler: Fuel: Propane" in out
    boxes, _ = drawn(dot.read_text())
    first = re.search(r"1  (.*) \(about", out)[1]
    assert first in flat(boxes["n0"].get("label").replace("\\l", " "))
    assert first in flat(pages(pdf.read_bytes())[0].extract_text())


def test_a_chart_is_told_to_programs(capsys):
    assert main(["chart", "co_alarm", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["tree"]["kind"], told["steps"], told["ended"]) == ("stop", 0, 1)

    tree = as_json(shipped("leak"))["tree"]
    assert json.loads(json.dumps(tree)) == tree
    assert [a["outcome"] for a in tree["answers"]] == [
        a.outcome for a in shipped("leak").root.answers
    ]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["gas_smel"], "write 'gas_smell'"),
        (["gas_smell", "--depth", "0"], "write 1 to 12"),
        (["gas_smell", "--places", "0"], "write 1 to 100"),
        (["gas_smell", "--who", "plumber"], "choose from caller"),
        (["gas_smell", "--fact", "fuel"], "write it as fuel=VALUE"),
        (["gas_smell", "--fact", "fuel=coal"], "choose from natural_gas"),
        (["gas_smell", "--fact", "fuel=propane", "--fact", "fuel=propane"], "given twice"),
        (["gas_smell", "--context", "hard_frosst"], "there is no circumstance"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_status_2(capsys, arguments, words):
    assert main(["chart", *arguments]) == 2

    out, err = capsys.readouterr()
    assert out == ""
    assert words in err
    assert "Traceback" not in err


@pytest.mark.parametrize("option", ["--dot", "--pdf"])
def test_a_path_that_cannot_be_written_is_refused_with_status_2(tmp_path, capsys, option):
    path = tmp_path / "nowhere" / "chart"

    assert main(["chart", "gas_smell", option, str(path)]) == 2

    assert capsys.readouterr().err == (
        f"{path}:1: the file cannot be written: No such file or directory\n"
        "    mend: name a file in another folder\n"
    )

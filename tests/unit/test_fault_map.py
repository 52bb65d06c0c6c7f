"""The map of a complaint: every cause on it, sized by commonness, and told apart as by hand."""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise
from typing import get_args

import pytest

from engine import safety
from engine.errors import UnreadableValue
from engine.knowledge import schema
from engine.visit.fault_map import (
    MOST_TOLD_APART,
    SYSTEMS,
    fault_map,
    never_together,
    numbered,
    parting,
    spoken,
)
from engine.visit.fault_map_cards import KINDS, card
from engine.visit.fault_map_picture import draw
from tests.small_knowledge import BASE, cause, check, knowledge_of, outcome

BACKS_UP = "condensate_backs_up"


# ------------------------------------------------------------------ what is on the map


def test_every_cause_of_every_complaint_is_on_its_map_once(knowledge):
    for complaint in knowledge.symptoms:
        expected = {n for n, entry in knowledge.causes.items() if complaint in entry.seen_with}
        nodes = fault_map(knowledge, complaint).nodes()

        assert len(nodes) == len(expected) > 0
        assert {node.cause for node in nodes} == expected


def test_regions_stand_in_the_order_of_the_way_and_hold_their_own_causes(knowledge):
    drawn = fault_map(knowledge, "locks_out_no_flame")
    order = [region.system for region in drawn.regions]

    assert order == sorted(order, key=list(SYSTEMS).index)
    assert order[:3] == ["gas_supply", "gas_valve", "ignition"]
    assert [region.place for region in drawn.regions] == list(range(1, len(order) + 1))
    for region in drawn.regions:
        assert {knowledge.causes[n.cause].system for n in region.nodes} == {region.system}
        assert all(a.weight >= b.weight for a, b in pairwise(region.nodes))


def test_every_system_of_the_knowledge_has_a_name_and_a_place():
    assert set(SYSTEMS) == set(get_args(schema.System))
    way = ["gas_supply", "gas_valve", "ignition", "air", "burner", "exchanger", "vent",
           "condensate", "water", "control"]  # fmt: skip
    assert [system for system in SYSTEMS if system in way] == way


def test_weight_and_word_are_those_of_the_complaint():
    by_cause = {n.cause: n for n in fault_map(knowledge_of(), "no_heat").nodes()}

    assert {n: (by_cause[n].weight, by_cause[n].word) for n in by_cause} == {
        "worn": (6, "common"), "loose": (2, "rare"),
    }  # fmt: skip
    other = {n.cause: n.weight for n in fault_map(knowledge_of(), "noise").nodes()}
    assert other == {"worn": 2, "cracked": 6}


def test_a_danger_sign_keeps_its_words(knowledge):
    assert fault_map(knowledge, "gas_smell").danger == knowledge.symptoms["gas_smell"].danger
    assert fault_map(knowledge, BACKS_UP).danger is None


def test_an_unknown_complaint_is_refused_with_the_nearest(knowledge):
    with pytest.raises(UnreadableValue, match="write 'gas_smell'"):
        fault_map(knowledge, "gas_smel")
    with pytest.raises(UnreadableValue, match="choose one from the list"):
        fault_map(knowledge, "<b>zzz</b>")


# ------------------------------------------------------------------ the drawing


def picture(knowledge, complaint, columns=1, **more):
    drawing = draw(fault_map(knowledge, complaint), columns, **more)
    return drawing, ET.fromstring(drawing.svg)


def of_class(root, name):
    return [e for e in root.iter() if e.get("class") == name]


@pytest.mark.parametrize("columns", [1, 3])
def test_the_area_of_a_disc_goes_with_commonness(columns):
    _, root = picture(knowledge_of(), "no_heat", columns)
    radii = [float(e.get("r")) for e in of_class(root, "cause")]

    assert len(radii) == 2
    assert (radii[0] / radii[1]) ** 2 == pytest.approx(6 / 2, rel=0.01)


@pytest.mark.parametrize("columns", [1, 3])
def test_the_drawing_has_every_name_word_and_system(knowledge, columns):
    drawn = fault_map(knowledge, "locks_out_no_flame")
    drawing, root = picture(knowledge, "locks_out_no_flame", columns)
    text = " ".join(e.text for e in root.iter() if e.tag.endswith("text"))

    for node in drawn.nodes():
        assert node.name in text
    assert len(of_class(root, "word")) == len(of_class(root, "cause")) == len(drawn.nodes())
    assert [e.text for e in of_class(root, "system")] == [
        f"{region.place}  {region.name}" for region in drawn.regions
    ]
    assert {target.cause for target in drawing.targets} == {n.cause for n in drawn.nodes()}


@pytest.mark.parametrize("columns", [1, 3])
def test_targets_lie_inside_apart_and_are_large_enough_to_tap(knowledge, columns):
    drawing, root = picture(knowledge, "locks_out_no_flame", columns)
    width, height = (float(root.get(side)) for side in ("width", "height"))
    boxes = sorted(
        (t.left * width, t.top * height, t.width * width, t.height * height)
        for t in drawing.targets
    )

    assert all(x >= 0 and y >= 0 and x + w <= width and y + h <= height for x, y, w, h in boxes)
    assert all(h >= 48 and w >= 48 for _, _, w, h in boxes)
    for (x, y, _, h), (after_x, after_y, _, _) in pairwise(boxes):
        assert after_x > x or after_y >= y + h - 1e-6


def test_the_numbers_of_all_pairs_of_four_causes_can_be_read_in_one_column(knowledge):
    chosen = ("gas_shut_off", "fan_failing", "vent_blocked", "spark_electrode_worn")
    pairs, names = numbered(knowledge, "locks_out_no_flame", chosen)
    _, root = picture(knowledge, "locks_out_no_flame", chosen=chosen, numbers=pairs)
    at = [(float(e.get("cx")), float(e.get("cy"))) for e in of_class(root, "badge")]

    assert len(at) == len(pairs) == 6
    assert {e.text for e in of_class(root, "number")} == {str(i + 1) for i in range(len(names))}
    for place, (x, y) in enumerate(at):
        for other_x, other_y in at[place + 1 :]:
            assert (x - other_x) ** 2 + (y - other_y) ** 2 > 24**2


def test_a_name_from_a_file_is_text_and_no_markup():
    spoiled = cause({"no_heat": "common"}, "tenth", {"look": {"dirty": "mostly"}})
    spoiled = spoiled.model_copy(update={"name": "<script>x</script> & co"})
    _, root = picture(knowledge_of(causes={"spoiled": spoiled}), "no_heat")

    assert not [e for e in root.iter() if e.tag.endswith("script")]
    assert "<script>x</script> & co" in [e.text for e in root.iter()]


@pytest.mark.parametrize("columns", [1, 3])
def test_causes_told_apart_are_ticked_and_joined_by_the_number_of_the_check(knowledge, columns):
    chosen = ("trap_blocked", "vent_sags")
    _, root = picture(knowledge, BACKS_UP, columns, chosen=chosen, numbers={chosen: 7})

    assert [e.text for e in of_class(root, "number")] == ["7"]
    assert len(of_class(root, "line")) == 1
    assert len(of_class(root, "ring")) == 2
    ticked = " ".join(e.text for e in of_class(root, "chosen"))
    for name in chosen:
        assert f"✓ {knowledge.causes[name].name}" in ticked


# ------------------------------------------------------------------ telling apart, by hand


def test_the_best_check_and_its_answers_are_those_worked_out_on_paper():
    """Strays of a sound boiler are 1 in 10 each; a cause and the strays show the worse of both."""
    look, listen = parting(knowledge_of(), "no_heat", ("worn", "loose"))

    assert (look.check, listen.check) == ("look", "listen")
    answers = {a.outcome: a.chances for a in look.answers}
    assert answers["clean"] == pytest.approx((0.9 * 0.2, 0.9))
    assert answers["dirty"] == pytest.approx((0.82, 0.1))
    assert look.right == pytest.approx((0.9 + 0.82) / 2)
    answers = {a.outcome: a.chances for a in listen.answers}
    assert answers["quiet"] == pytest.approx((0.8, 0.8 * 0.5))
    assert answers["hum"] == pytest.approx((0.1, 0.9 - 0.4))
    assert answers["bang"] == pytest.approx((0.1, 0.1))
    assert listen.right == pytest.approx((0.8 + 0.5 + 0.1) / 2)
    assert look.line() == (
        "Points to the right one 86 in 100, were they equally likely; a guess does 50 in 100."
    )


def test_of_three_causes_the_check_that_names_the_right_one_oftenest_comes_first():
    listen, look = parting(knowledge_of(), "no_heat", ("worn", "loose", "cracked"))

    assert (listen.check, look.check) == ("listen", "look")
    # quiet: worn 0.8; hum: loose 0.5; bang: cracked 1 - 0.9 x 0.2
    assert listen.right == pytest.approx((0.8 + 0.5 + 0.82) / 3)
    assert look.right == pytest.approx((0.9 + 0.82) / 3)


def test_the_order_of_the_causes_changes_no_verdict():
    one = parting(knowledge_of(), "no_heat", ("worn", "loose"))
    other = parting(knowledge_of(), "no_heat", ("loose", "worn"))

    assert [(p.check, p.right) for p in one] == [(p.check, p.right) for p in other]
    assert one[0].answers[0].chances == other[0].answers[0].chances[::-1]


def test_of_equal_checks_the_shortest_comes_first():
    quick = BASE["checks"]["look"].model_copy(update={"minutes": 1.0})
    shows = {"look": {"dirty": "mostly"}, "glance": {"dirty": "mostly"}}
    causes = {
        "worn": cause({"no_heat": "common"}, "tenth", shows),
        "loose": cause({"no_heat": "common"}, "tenth", {"listen": {"hum": "hardly"}}),
    }
    known = knowledge_of(checks={**BASE["checks"], "glance": quick}, causes=causes)

    assert [p.check for p in parting(known, "no_heat", ("worn", "loose"))][:2] == ["glance", "look"]


def test_causes_that_show_the_same_are_told_apart_by_nothing():
    same = {
        name: cause({"no_heat": "common"}, "tenth", {"look": {"dirty": "mostly"}})
        for name in ("worn", "loose")
    }

    assert parting(knowledge_of(causes=same), "no_heat", ("worn", "loose")) == ()


def test_a_check_that_makes_no_sense_with_the_complaint_is_left_out():
    asked = BASE["checks"]["look"].model_copy(update={"only_with": ("noise",)})
    known = knowledge_of(checks={**BASE["checks"], "look": asked})

    assert [p.check for p in parting(known, "no_heat", ("worn", "loose"))] == ["listen"]
    assert "look" in [p.check for p in parting(known, "noise", ("worn", "cracked"))]


def test_a_check_that_no_such_boiler_has_is_left_out():
    """Loose stands on natural gas only, so that a look at the propane tank cannot part it."""
    tank = check({"clean": outcome(), "dirty": outcome("hardly")}, only_if={"fuel": ["propane"]})
    known = knowledge_of(checks={**BASE["checks"], "look": tank})

    assert [p.check for p in parting(known, "no_heat", ("worn", "loose"))] == ["listen"]


def test_pairs_with_the_same_best_check_bear_the_same_number(knowledge):
    """Only listen tells loose from cracked; with worn nothing beats a look (0.86 in both pairs)."""
    looked = BASE["checks"]["look"].model_copy(update={"name": "Look"})
    heard = BASE["checks"]["listen"].model_copy(update={"name": "Listen"})
    known = knowledge_of(checks={"look": looked, "listen": heard})
    pairs, names = numbered(known, "no_heat", ("worn", "loose", "cracked"))

    assert names == ("Look", "Listen")
    assert pairs == {("worn", "loose"): 1, ("worn", "cracked"): 1, ("loose", "cracked"): 2}


def test_causes_that_no_boiler_has_both_are_named():
    propane = cause(
        {"no_heat": "rare"}, "tenth", {"look": {"dirty": "half"}}, only_if={"fuel": ["propane"]}
    ).model_copy(update={"name": "Tank empty"})
    known = knowledge_of(causes={**BASE["causes"], "tank_empty": propane})

    assert never_together(known, ("worn", "loose", "tank_empty")) == (("A cause", "Tank empty"),)
    assert never_together(known, ("worn", "loose")) == ()


def test_in_the_shipped_knowledge_every_answer_of_a_parting_check_adds_up(knowledge):
    nodes = [node.cause for node in fault_map(knowledge, BACKS_UP).nodes()]
    for causes in (nodes[:2], nodes[:MOST_TOLD_APART], nodes[-3:]):
        found = parting(knowledge, BACKS_UP, causes)
        rights = [p.right for p in found]
        assert found
        assert rights == sorted(rights, reverse=True)
        for each in found:
            for chances in zip(*(a.chances for a in each.answers), strict=True):
                assert sum(chances) == pytest.approx(1)
            assert 1 / len(causes) < each.right <= 1


# ------------------------------------------------------------------ cards


def every_card(knowledge, complaint):
    for kind, entries in KINDS.items():
        for name in getattr(knowledge, entries):
            yield card(knowledge, complaint, kind, name)


def lines_of(shown, start):
    return [line for s in shown.sections if s.title.startswith(start) for line in s.lines]


def test_every_entry_has_a_card_whose_ways_lead_to_cards(knowledge):
    seen = 0
    for shown in every_card(knowledge, BACKS_UP):
        seen += 1
        assert shown.sections
        for section in shown.sections:
            assert section.lines
            for line in section.lines:
                if line.opens:
                    kind, name = line.opens
                    entry = getattr(knowledge, KINDS[kind])[name]
                    assert entry.name in line.text
    assert seen == len(knowledge.causes) + len(knowledge.checks) + len(knowledge.actions)


def test_a_cause_shows_all_that_the_knowledge_says_of_it(knowledge):
    name = "trap_blocked"
    entry = knowledge.causes[name]
    shown = card(knowledge, BACKS_UP, "cause", name)
    text = "\n".join(line.text for section in shown.sections for line in section.lines)

    assert entry.mechanism in text
    assert (entry.note or "") in text
    assert knowledge.commonness[entry.seen_with[BACKS_UP]].says in text
    assert {line.opens[1] for line in lines_of(shown, "What it shows")} == set(entry.shows)
    likeliest = [
        max(knowledge.probability(word) for word in entry.shows[line.opens[1]].values())
        for line in lines_of(shown, "What it shows")
    ]
    assert likeliest == sorted(likeliest, reverse=True)
    assert {line.opens[1] for line in lines_of(shown, "What mends it")} == set(entry.mended_by)
    assert {line.opens[1] for line in lines_of(shown, "It makes")} == set(entry.promotes)
    for check_id, outcomes in entry.shows.items():
        for outcome_id, word in outcomes.items():
            says = knowledge.checks[check_id].outcomes[outcome_id].says
            assert f"'{says}' {spoken(word)} (" in text
    for source in entry.source:
        assert knowledge.sources[source].name in text


def test_a_cause_of_another_complaint_says_that_it_is_not_listed(knowledge):
    name = next(n for n, c in knowledge.causes.items() if BACKS_UP not in c.seen_with)
    common = lines_of(card(knowledge, BACKS_UP, "cause", name), "How common")

    assert common[0].text == "It is not listed as bringing this complaint."


def test_a_check_says_which_causes_of_the_complaint_show_each_answer(knowledge):
    name = next(iter(knowledge.causes["trap_blocked"].shows))
    entry = knowledge.checks[name]
    shown = card(knowledge, BACKS_UP, "check", name)

    for outcome_id, said in entry.outcomes.items():
        lines = lines_of(shown, f"Answer: {said.says}")
        expected = {
            n for n, c in knowledge.causes.items()
            if BACKS_UP in c.seen_with and outcome_id in c.shows.get(name, {})
        }  # fmt: skip
        assert {line.opens[1] for line in lines if line.opens} == expected
        assert said.means in [line.text for line in lines]
    assert [line.text for line in lines_of(shown, "How")] == list(entry.how)


def test_the_cautions_of_a_step_are_on_its_card(knowledge):
    for shown in every_card(knowledge, BACKS_UP):
        if shown.kind == "cause":
            assert shown.cautions == ()
            continue
        named = safety.cautions(knowledge, KINDS[shown.kind], shown.id)
        assert list(shown.cautions) == [knowledge.cautions[n].says for n in named]
        assert set(shown.governs) == {knowledge.cautions[n].defers_to for n in named}


def test_a_danger_sign_among_the_answers_is_marked(knowledge):
    name, entry = next(
        (n, c) for n, c in knowledge.checks.items() if any(o.danger for o in c.outcomes.values())
    )
    shown = card(knowledge, BACKS_UP, "check", name)

    for said in entry.outcomes.values():
        texts = [line.text for line in lines_of(shown, f"Answer: {said.says}")]
        assert ("Danger sign: everything stops" in texts) == (said.danger is not None)


@pytest.mark.parametrize(
    ("kind", "name"),
    [("cause", "no_such"), ("word", "often"), ("", ""), ("causes", "trap_blocked")],
)
def test_a_card_that_is_none_is_refused(knowledge, kind, name):
    with pytest.raises(UnreadableValue, match=re.escape(f"there is no card {kind}.{name}")):
        card(knowledge, BACKS_UP, kind, name)

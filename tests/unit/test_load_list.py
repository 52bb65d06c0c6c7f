"""The load of a visit, against chances that are worked out by hand."""

from itertools import combinations

import numpy as np
import pytest

from engine.belief import network as networks
from engine.belief.posterior import Belief, Space
from engine.errors import UnreadableValue
from engine.knowledge import schema
from engine.visit import events as happened
from engine.visit import load_list
from engine.visit.load_list import Loading
from tests.small_knowledge import SOURCE, cause, knowledge_of

COVER = schema.Access(
    name="Cover off", kind="opened", open_minutes=1, close_minutes=1, who="technician",
    closing=["new_seal"], **SOURCE,
)  # fmt: skip
NEW_SEAL = schema.Closing(
    name="New seal", how=["Fit it."], confirm="Fitted.", who="technician",
    parts=[{"part": "Seal"}], **SOURCE,
)  # fmt: skip


def action(*parts, kind="replace", **more):
    return schema.Action(
        name="Mend it", kind=kind, how=["Mend it."], minutes=5, who="technician",
        parts=[{"part": name, "minutes": minutes} for name, minutes in parts], **SOURCE, **more,
    )  # fmt: skip


def mended(**works):
    """A cause of the one complaint, mended by actions with a word each."""
    given = cause({"no_heat": "common"}, "tenth", {"look": {"dirty": "mostly"}})
    return given.model_copy(update={"mended_by": works})


def loading(actions, causes, weights, symptoms=("no_heat",), **more):
    """The loading of a belief whose sets, named by their causes, have the given weights."""
    known = knowledge_of(
        actions=actions, causes=causes, access={"cover": COVER}, closing={"new_seal": NEW_SEAL}
    )
    space = Space(networks.build(known, symptoms, (), {}, ()), 2)
    names = (*space.network.causes, None)
    rows = [frozenset(names[c] for c in row if names[c] is not None) for row in space.sets]
    given = {frozenset(name.split("+")): w for name, w in weights.items()}
    belief = Belief(space, np.array([given.get(row, 0.0) for row in rows]), 1.0)
    assert belief.weights.sum() == pytest.approx(1.0)
    return Loading(known, belief, {}, **more)


TWO = {"fan": action(("Fan", 100.0)), "rod": action(("Rod", 10.0))}
TWO_CAUSES = {"worn": mended(fan="mostly"), "bent": mended(rod="half")}  # mostly 0.8, half 0.5
WEIGHTS = {"worn": 0.6, "bent": 0.3, "none_of_these": 0.1}


@pytest.mark.parametrize(
    ("load", "chance"),
    [({}, 0.0), ({"Fan": 1}, 0.6 * 0.8), ({"Rod": 1}, 0.3 * 0.5), ({"Fan": 1, "Rod": 1}, 0.63)],
)
def test_each_cause_counts_by_how_likely_it_is_and_how_surely_its_repair_mends(load, chance):
    assert loading(TWO, TWO_CAUSES, WEIGHTS).chance(load) == pytest.approx(chance)


def test_a_repair_is_made_only_with_all_of_its_parts():
    both = loading({"fan": action(("Fan", 9.0), ("Plug", 1.0))}, {"worn": mended(fan="mostly")},
                   {"worn": 1.0})  # fmt: skip

    assert both.chance({"Fan": 1}) == 0.0
    assert both.chance({"Fan": 1, "Plug": 1}) == pytest.approx(0.8)
    assert both.propose().load == {"Fan": 1, "Plug": 1}


def test_a_part_that_is_needed_twice_is_loaded_twice():
    washer = action(("Washer", 1.0))
    washer = washer.model_copy(update={"parts": (schema.Part(part="Washer", count=2),)})
    two = loading({"washers": washer}, {"worn": mended(washers="mostly")}, {"worn": 1.0})

    assert two.chance({"Washer": 1}) == 0.0
    assert two.propose().load == {"Washer": 2}


def test_what_is_opened_takes_its_gasket_with_it():
    opens = {"fan": action(("Fan", 9.0), access=["cover"])}
    behind = loading(opens, {"worn": mended(fan="mostly")}, {"worn": 1.0})

    assert behind.chance({"Fan": 1}) == 0.0
    assert behind.propose().load == {"Fan": 1, "Seal": 1}


def test_two_repairs_of_one_cause_fail_independently():
    twice = loading(TWO, {"worn": mended(fan="mostly", rod="half")}, {"worn": 1.0})

    assert twice.chance({"Fan": 1, "Rod": 1}) == pytest.approx(1 - 0.2 * 0.5)


def test_a_repair_without_parts_counts_with_nothing_loaded():
    assert loading({"clean": action(kind="clean")}, {"worn": mended(clean="half")},
                   {"worn": 1.0}).chance({}) == pytest.approx(0.5)  # fmt: skip


def test_work_of_others_and_what_was_done_already_do_not_count():
    supplier = {"ask": action(kind="refer"), "later": action(others_minutes=60)}
    assert loading(supplier, {"worn": mended(ask="mostly", later="mostly")},
                   {"worn": 1.0}).chance({}) == 0.0  # fmt: skip
    assert loading(TWO, TWO_CAUSES, WEIGHTS, made=["fan"]).chance({"Fan": 1, "Rod": 1}) == (
        pytest.approx(0.15)
    )


def test_of_two_complaints_both_causes_have_to_be_mended():
    causes = {
        "worn": mended(fan="mostly"),
        "bent": mended(rod="half").model_copy(update={"seen_with": {"noise": "common"}}),
    }
    both = loading(TWO, causes, {"worn+bent": 1.0}, symptoms=("no_heat", "noise"))

    assert both.chance({"Fan": 1}) == 0.0
    assert both.chance({"Fan": 1, "Rod": 1}) == pytest.approx(0.8 * 0.5)


def test_a_boiler_that_is_mended_needs_no_parts():
    weights = {"worn": 0.5, "none_of_these": 0.25}
    known = loading(TWO, TWO_CAUSES, weights | {"bent": 0.25})
    known._belief.weights[:] = 0.0
    known._belief.weights[0] = 1.0

    assert known.propose() == load_list.Proposal({}, 0.0, (), 0.0, 0.0)


def test_a_dear_part_for_an_unlikely_cause_is_named_and_not_proposed():
    """Gains of 2.4 in 100 for 100 minutes of price, of 47 in 100 for 10."""
    unlikely = loading(
        TWO, {"worn": mended(fan="mostly"), "bent": mended(rod="half")},
        {"worn": 0.03, "bent": 0.94, "none_of_these": 0.03},
    )  # fmt: skip
    proposal = unlikely.propose()

    assert proposal.load == {"Rod": 1}
    assert proposal.chance == pytest.approx(0.47)
    assert proposal.adding == ("Fan",)
    assert proposal.then == proposal.with_all == pytest.approx(0.47 + 0.024)
    assert load_list.in_words(proposal) == (
        "Load: 1 × Rod.",
        "This part: 47 in 100 that one visit is enough.",
        "With Fan as well: 49 in 100.",
    )


def test_the_proposal_is_the_best_load_of_its_size():
    """Three repairs of like price, brute force over all loads: the likeliest come first."""
    actions = {name: action((name.title(), 3.0)) for name in ("fan", "rod", "lead")}
    causes = {"worn": mended(fan="mostly"), "bent": mended(rod="mostly"),
              "torn": mended(lead="mostly")}  # fmt: skip
    given = loading(actions, causes, {"worn": 0.5, "bent": 0.48, "torn": 0.02})
    proposal = given.propose()
    every = [dict.fromkeys(parts, 1) for parts in combinations(given.everything(), 2)]

    assert set(proposal.load) == {"Fan", "Rod"}  # the lead adds 1.6 in 100
    assert proposal.chance == max(map(given.chance, every)) == pytest.approx(0.784)


def test_a_load_by_hand_is_judged_by_the_same_number():
    given = loading(TWO, TWO_CAUSES, WEIGHTS)

    assert given.judged(load_list.chosen(given, ["Rod"])).chance == pytest.approx(0.15)
    assert given.judged({}).adding == ("Fan",)
    with pytest.raises(UnreadableValue, match="'Boat'"):
        load_list.chosen(given, ["Boat"])


@pytest.mark.parametrize(
    "complaints",
    [["locks_out_no_flame"], ["flame_lost_after_lighting"],
     ["locks_out_no_flame", "flame_lost_after_lighting"]],
)  # fmt: skip
def test_more_parts_never_make_it_worse_nor_surer_than_a_listed_cause(after, knowledge, complaints):
    visit = after(*(happened.SymptomReported(symptom=name) for name in complaints), who="caller")
    given = load_list.loading(knowledge, visit)
    belief = visit.view.thought.belief
    listed = belief.space.members[:, :-1].any(axis=1) @ belief.weights
    load, before = {}, given.chance({})
    for part, count in given.everything().items():
        load[part] = count
        now = given.chance(load)
        assert 0.0 <= before <= now + 1e-12
        assert now <= listed + 1e-12
        before = now

    assert before == pytest.approx(given.propose().with_all)
    assert given.chance({}) < given.propose().chance <= before


def test_a_visit_stopped_for_danger_has_no_load(after, knowledge):
    visit = after(happened.SymptomReported(symptom="gas_smell"), who="caller")

    assert load_list.loading(knowledge, visit) is None

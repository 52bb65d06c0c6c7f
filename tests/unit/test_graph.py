"""The graph over the shipped knowledge: what is relevant, what comes off first, what leads where.

The expectations are the trade's own rules as the files state them, read here with plain loops
over the entries and not through the graph.
"""

import networkx as nx
import pytest

from engine.belief.network import bearing_on, suspects_of
from engine.knowledge import graph as graphs


def test_the_graph_is_frozen(knowledge):
    with pytest.raises(nx.NetworkXError):
        knowledge.graph.add_node("x")


def test_suspects_are_the_causes_that_bring_the_complaint(knowledge):
    for symptom in knowledge.symptoms:
        named = {n for n, cause in knowledge.causes.items() if symptom in cause.seen_with}
        assert suspects_of(knowledge, [symptom]) == named


def test_a_finding_bears_on_the_causes_that_show_it(knowledge):
    for check, entry in knowledge.checks.items():
        for outcome in list(entry.outcomes)[1:]:
            named = {n for n, c in knowledge.causes.items() if outcome in c.shows.get(check, {})}
            assert bearing_on(knowledge, [(check, outcome)]) == named


def test_a_healthy_outcome_bears_on_nothing(knowledge):
    for check, entry in knowledge.checks.items():
        assert bearing_on(knowledge, [(check, entry.healthy)]) == set()


def test_a_check_leads_to_the_instruments_that_read_it(knowledge):
    for name, check in knowledge.checks.items():
        fields = check.reading.fields.values() if check.reading else ()
        found = graphs.joined(knowledge.graph, ("checks", name), "reads_with")
        assert {end for _, end in found} == {field.instrument for field in fields}


@pytest.mark.parametrize("electrode", ["igniter_out", "flame_rod_out"])
def test_electrodes_come_out_before_the_burner_door(knowledge, electrode):
    """The ceramic breaks when the door is drawn off over it (domain rule of the access file)."""
    order = graphs.opening_order(knowledge.graph, ["burner_door_off"])

    assert order[-1] == "burner_door_off"
    assert order.index(electrode) < order.index("burner_door_off")
    assert order.index("isolated") < order.index(electrode)


def test_nothing_is_opened_before_what_it_needs(knowledge):
    for name in knowledge.access:
        order = graphs.opening_order(knowledge.graph, [name])
        assert order[-1] == name
        for place, state in enumerate(order):
            assert set(knowledge.access[state].needs) <= set(order[:place])


def test_an_opening_order_names_each_state_once_and_nothing_beyond_need(knowledge):
    states = [name for name, entry in knowledge.access.items() if entry.kind == "opened"]
    order = graphs.opening_order(knowledge.graph, states)
    assert sorted(order) == sorted(states)

    assert graphs.opening_order(knowledge.graph, ["cover_off"]) == ("cover_off",)
    assert graphs.opening_order(knowledge.graph, []) == ()


def test_evidence_leads_from_a_finding_to_the_repairs_of_its_causes(knowledge):
    for check, entry in knowledge.checks.items():
        for outcome in entry.outcomes:
            ways = {
                (name, action)
                for name, cause in knowledge.causes.items()
                if outcome in cause.shows.get(check, {})
                for action in cause.mended_by
            }
            assert set(graphs.evidence_paths(knowledge.graph, check, outcome)) == ways


def test_a_coated_rod_leads_to_cleaning_it(knowledge):
    ways = graphs.evidence_paths(knowledge.graph, "flame_rod_seen", "coated")

    assert ("flame_rod_coated", "clean_flame_rod") in ways


def test_neighbours_come_in_the_order_of_the_files(knowledge):
    names = [n for _, n in graphs.joined(knowledge.graph, ("access", "burner_door_off"), "needs")]

    assert names == [n for n in knowledge.access if n in names]
    assert set(names) == set(knowledge.access["burner_door_off"].needs)

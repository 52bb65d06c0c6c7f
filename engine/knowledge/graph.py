"""The knowledge as one directed graph: what joins what.

Nodes are ``(kind, id)`` pairs, and ``("outcomes", check, outcome)`` for the outcomes of checks;
each carries `kind` and `position` (its place in the files), a check `past`. Edges carry `relation`:

=============  ==================================  =========================================
relation       from -> to                          read as
=============  ==================================  =========================================
seen_with      cause -> symptom                    the cause can bring this complaint
shows          cause -> outcome                    with the cause, the check comes out so
gives          check -> outcome                    the check can come out so
mended_by      cause -> action                     the action can mend the cause
promotes       cause -> cause                      the first makes the second more likely
shifts         context -> cause                    the circumstance changes the odds
needs          check, action, access -> access     this state is needed first
obliges        access, action -> closing           afterwards this must be proven
warns          check, action, access -> caution    the caution that stands before the step
reads_with     check -> instrument                 a value of the check is read with it
source         any entry -> source                 where its numbers come from
=============  ==================================  =========================================
"""

from collections.abc import Iterable, Mapping
from functools import lru_cache

import networkx as nx


def build(entries: Mapping[str, Mapping]) -> nx.DiGraph:
    """The frozen graph over all entries of a knowledge base."""
    graph = nx.DiGraph()
    for kind, by_id in entries.items():
        for name in by_id:
            graph.add_node((kind, name), kind=kind, position=len(graph))

    for name, check in entries["checks"].items():
        graph.nodes["checks", name]["past"] = check.past

    def join(start, relation, ends):
        graph.add_edges_from(((start, end) for end in ends), relation=relation)

    def all_of(kind, names):
        return ((kind, name) for name in names)

    for name, check in entries["checks"].items():
        for outcome in check.outcomes:
            node = ("outcomes", name, outcome)
            graph.add_node(node, kind="outcomes", position=len(graph))
            graph.add_edge(("checks", name), node, relation="gives")
        fields = check.reading.fields.values() if check.reading else ()
        join(("checks", name), "reads_with", all_of("instruments", (f.instrument for f in fields)))
    for name, cause in entries["causes"].items():
        node = ("causes", name)
        join(node, "seen_with", all_of("symptoms", cause.seen_with))
        join(
            node,
            "shows",
            (("outcomes", check, o) for check, shown in cause.shows.items() for o in shown),
        )
        join(node, "mended_by", all_of("actions", cause.mended_by))
        join(node, "promotes", all_of("causes", cause.promotes))
    for name, context in entries["contexts"].items():
        join(("contexts", name), "shifts", all_of("causes", context.shifts))
    for kind in ("checks", "actions"):
        for name, step in entries[kind].items():
            join((kind, name), "needs", all_of("access", step.access))
            join((kind, name), "warns", all_of("cautions", step.cautions))
    for name, action in entries["actions"].items():
        join(("actions", name), "obliges", all_of("closing", action.verify))
    for name, state in entries["access"].items():
        join(("access", name), "needs", all_of("access", state.needs))
        join(("access", name), "warns", all_of("cautions", state.cautions))
        join(("access", name), "obliges", all_of("closing", state.closing))
    for kind, by_id in entries.items():
        for name, entry in by_id.items():
            join((kind, name), "source", all_of("sources", getattr(entry, "source", ())))
    return nx.freeze(graph)


def joined(graph: nx.DiGraph, node: tuple, relation: str) -> tuple[tuple, ...]:
    """The nodes that `node` points at through one relation, in the order of the files."""
    found = (end for _, end, r in graph.out_edges(node, data="relation") if r == relation)
    return tuple(sorted(found, key=lambda end: graph.nodes[end]["position"]))


def pointing(graph: nx.DiGraph, node: tuple, relation: str) -> tuple[tuple, ...]:
    """The nodes that point at `node` through one relation, in the order of the files."""
    found = (start for start, _, r in graph.in_edges(node, data="relation") if r == relation)
    return tuple(sorted(found, key=lambda start: graph.nodes[start]["position"]))


def opening_order(graph: nx.DiGraph, states: Iterable[str]) -> tuple[str, ...]:
    """Everything that `states` of access need, in the order in which it is opened.

    Parameters
    ----------
    graph : networkx.DiGraph
        Nodes ``("access", id)``, edges to what must come before; not altered afterwards, because
        orders are remembered (the planner asks for the same few hundred at every step).
    states : iterable of str
        Access ids.

    Returns
    -------
    tuple of str
        Access ids, what comes first first, `states` included.

    Examples
    --------
    >>> order = nx.DiGraph([(("access", "door_off"), ("access", "rod_out"))])
    >>> opening_order(order, ["door_off"])
    ('rod_out', 'door_off')
    """
    return _opening_order(graph, tuple(states))


@lru_cache(maxsize=4096)
def _opening_order(graph, states):
    wanted = set()
    for state in states:
        node = ("access", state)
        if node in graph and node not in wanted:
            wanted |= {node} | {n for n in nx.descendants(graph, node) if n[0] == "access"}
    needs = nx.DiGraph()
    needs.add_nodes_from(wanted)
    needs.add_edges_from(
        (before, node) for node in wanted for before in graph.successors(node) if before in wanted
    )
    place = {node: graph.nodes[node].get("position", 0) for node in wanted}
    ordered = nx.lexicographical_topological_sort(needs, key=lambda node: (place[node], node))
    return tuple(name for _, name in ordered)


@lru_cache(maxsize=1024)
def changed_by(graph: nx.DiGraph, action: str) -> frozenset[str]:
    """Checks that may show something else after an action: a cause that it mends shows there.

    What was before the visit stays as it was.
    """
    return frozenset(
        outcome[1]
        for cause in pointing(graph, ("actions", action), "mended_by")
        for outcome in joined(graph, cause, "shows")
        if not graph.nodes["checks", outcome[1]]["past"]
    )


@lru_cache(maxsize=4096)
def evidence_paths(graph: nx.DiGraph, check: str, outcome: str) -> tuple[tuple[str, str], ...]:
    """(cause, action) pairs that a finding leads to: the ways from finding to repair."""
    causes = pointing(graph, ("outcomes", check, outcome), "shows")
    return tuple(
        (cause[1], action[1]) for cause in causes for action in joined(graph, cause, "mended_by")
    )

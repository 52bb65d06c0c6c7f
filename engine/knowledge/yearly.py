"""The rules over what a yearly service is made of: complaints raised, readings as found."""

import networkx as nx

from engine.knowledge import graph as graphs
from engine.knowledge.gathering import Gathering


def check_yearly(gathering: Gathering) -> None:
    """Report what a service could not be made of."""
    for name, check in gathering.entries["checks"].items():
        for outcome, entry in check.outcomes.items():
            if entry.raises:
                _check_raises(gathering, name, outcome)
        if check.yearly and check.derived:
            gathering.report(
                ("checks", name, "yearly"),
                "nobody can make this check: it is worked out from others",
                "take 'yearly' out here",
            )
    if gathering.problems:
        return  # the access order may go in a circle
    _check_as_found(gathering)


def _check_raises(gathering, name, outcome) -> None:
    check = gathering.entries["checks"][name]
    path, raised = ("checks", name, "outcomes", outcome, "raises"), check.outcomes[outcome].raises
    symptom = gathering.entries["symptoms"].get(raised)
    if outcome == check.healthy:
        gathering.report(path, "a sound boiler raises no complaint", "take 'raises' out here")
    elif check.outcomes[outcome].danger or (symptom and symptom.danger):
        gathering.report(
            path, "a danger sign stops the visit and raises nothing", "take 'raises' out here"
        )
    elif symptom and not any(
        outcome in cause.shows.get(name, {}) and raised in cause.seen_with
        for cause in gathering.entries["causes"].values()
    ):
        gathering.report(
            path,
            f"no cause shows {outcome!r} and is seen with {raised!r}",
            "name a complaint of a cause that shows it",
        )


def _check_as_found(gathering) -> None:
    """What is read before anything is opened cannot stand behind what keeps it from running."""
    access = gathering.entries["access"]
    order = nx.DiGraph(
        (("access", name), ("access", before))
        for name, entry in access.items()
        for before in entry.needs
    )
    order.add_nodes_from(("access", name) for name in access)
    for name, check in gathering.entries["checks"].items():
        if not (check.yearly or "").startswith("before"):
            continue
        behind = [n for n in graphs.opening_order(order, check.access) if access[n].disturbs]
        if behind:
            gathering.report(
                ("checks", name, "yearly"),
                f"what is read as found cannot stand behind {behind[0]!r}",
                "write 'opened'",
            )

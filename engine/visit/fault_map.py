"""The map of a complaint: what can bring it, system by system, and which checks tell causes apart.

A map knows nothing of one boiler: every cause that the knowledge gives for the complaint is on it.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from engine.errors import UnreadableValue, nearest
from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.schema import Danger
from engine.knowledge.separation import apart_by_design, outcomes_with
from engine.visit.weighing import in_hundred

SYSTEMS = {
    "gas_supply": "Gas supply",
    "gas_valve": "Gas valve",
    "ignition": "Ignition",
    "flame_sensing": "Flame sensing",
    "air": "Air and fan",
    "burner": "Burner",
    "exchanger": "Heat exchanger",
    "vent": "Vent",
    "condensate": "Condensate",
    "water": "Water",
    "control": "Control",
    "electrical": "Mains and wiring",
}
"""Names of the systems, in the order of the way that gas, air, flame, flue gas and water take."""

MOST_TOLD_APART = 4
"""Causes that can be set against each other at once; more fill no screen. Judgement."""

BEST = 5
"""How many checks are named at the most. Judgement."""

TELLS = 0.02
"""A check that points to the right cause so little oftener than a guess is not named. Judgement."""


@dataclass(frozen=True)
class Node:
    """A cause on the map. `weight` is how common it is for the complaint, relative to the others;
    `word` the same as a word."""

    cause: str
    name: str
    system: str
    word: str
    weight: float


@dataclass(frozen=True)
class Region:
    """A system with its causes, the most common first; `place` counts along the way, from 1."""

    system: str
    name: str
    place: int
    nodes: tuple[Node, ...]


@dataclass(frozen=True)
class FaultMap:
    """The map of one complaint; `danger` where the complaint itself stops everything."""

    complaint: str
    name: str
    danger: Danger | None
    regions: tuple[Region, ...]

    def nodes(self) -> tuple[Node, ...]:
        """All causes, in the order of the map."""
        return tuple(node for region in self.regions for node in region.nodes)


def fault_map(knowledge: Knowledge, complaint: str) -> FaultMap:
    """The map of a complaint.

    Raises
    ------
    UnreadableValue
        If there is no such complaint.
    """
    if complaint not in knowledge.symptoms:
        close = nearest(complaint, knowledge.symptoms)
        raise UnreadableValue(
            f"there is no complaint {complaint!r}; "
            + (f"write {close!r}" if close else "choose one from the list")
        )
    nodes: dict[str, list[Node]] = {}
    for _, name in graphs.pointing(knowledge.graph, ("symptoms", complaint), "seen_with"):
        cause = knowledge.causes[name]
        word = cause.seen_with[complaint]
        weight = knowledge.commonness[word].weight
        node = Node(name, cause.name, cause.system, spoken(word), weight)
        nodes.setdefault(cause.system, []).append(node)
    met = [system for system in SYSTEMS if system in nodes]
    regions = tuple(
        Region(
            system, SYSTEMS[system], place,
            tuple(sorted(nodes[system], key=lambda node: -node.weight)),
        )
        for place, system in enumerate(met, 1)
    )  # fmt: skip
    symptom = knowledge.symptoms[complaint]
    return FaultMap(complaint, symptom.name, symptom.danger, regions)


def spoken(word: str) -> str:
    """The id of a word of the knowledge as it is said.

    Examples
    --------
    >>> spoken("almost_always")
    'almost always'
    """
    return word.replace("_", " ")


# ------------------------------------------------------------------ telling causes apart


@dataclass(frozen=True)
class Answer:
    """An answer of a check, with its chance for each cause alone, in the order of the causes."""

    outcome: str
    says: str
    danger: bool
    chances: tuple[float, ...]


@dataclass(frozen=True)
class Parting:
    """A check that tells causes apart.

    `right` is how often its answer points to the right one of the causes, were all equally likely:
    the mean over them of the greatest chance that each answer has with any of them. By guessing it
    would be one divided by their number.
    """

    check: str
    name: str
    minutes: float
    right: float
    answers: tuple[Answer, ...]

    def line(self) -> str:
        """How well it tells them apart."""
        guess = 1 / len(self.answers[0].chances)
        return (
            f"Points to the right one {in_hundred(self.right)}, were they equally likely; "
            f"a guess does {in_hundred(guess)}."
        )


def parting(
    knowledge: Knowledge, complaint: str, causes: Sequence[str], most: int = BEST
) -> tuple[Parting, ...]:
    """The checks that tell causes apart best, the best first; of equals the shortest.

    Each cause stands alone in a boiler that is sound otherwise. Checks that make no sense with the
    complaint, or do not exist on any boiler that can have each of the causes, are left out.

    Parameters
    ----------
    causes : sequence of str
        Two or more.
    """
    shows = [knowledge.causes[name].shows for name in causes]
    designs = [knowledge.causes[name].only_if for name in causes]
    found = []
    for name, check in knowledge.checks.items():
        if check.only_with and complaint not in check.only_with:
            continue
        if not any(name in shown for shown in shows):
            continue
        if any(apart_by_design(check.only_if, design) for design in designs):
            continue
        chances = np.array([outcomes_with(knowledge, check, s.get(name, {})) for s in shows])
        right = float(chances.max(axis=0).sum() / len(causes))
        if right < 1 / len(causes) + TELLS:
            continue
        answers = tuple(
            Answer(outcome, entry.says, entry.danger is not None, tuple(map(float, column)))
            for (outcome, entry), column in zip(check.outcomes.items(), chances.T, strict=True)
        )
        found.append(Parting(name, check.name, check.minutes, right, answers))
    return tuple(sorted(found, key=lambda p: (-round(p.right, 9), p.minutes))[:most])


def numbered(
    knowledge: Knowledge, complaint: str, causes: Sequence[str]
) -> tuple[dict[tuple[str, str], int], tuple[str, ...]]:
    """For each pair of causes the number of its best check, and the names of these from 1 on."""
    pairs, numbers = {}, {}
    for pair in combinations(causes, 2):
        for best in parting(knowledge, complaint, pair, most=1):
            pairs[pair] = numbers.setdefault(best.name, len(numbers) + 1)
    return pairs, tuple(numbers)


def never_together(knowledge: Knowledge, causes: Collection[str]) -> tuple[tuple[str, str], ...]:
    """The pairs of causes that no boiler can have both, by design; names, in their order."""
    return tuple(
        (knowledge.causes[one].name, knowledge.causes[other].name)
        for one, other in combinations(causes, 2)
        if apart_by_design(knowledge.causes[one].only_if, knowledge.causes[other].only_if)
    )

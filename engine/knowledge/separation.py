"""How far checks tell causes apart, on the boilers where they can be confused at all."""

from collections.abc import Mapping
from itertools import combinations

import numpy as np

from engine.knowledge import schema
from engine.knowledge.loading import Knowledge


def everywhere(inner: Mapping, *outer: Mapping) -> bool:
    """Whether `inner` is met on every boiler on which all of `outer` are.

    Examples
    --------
    >>> everywhere({"fuel": ("propane",)}, {"fuel": ("propane",)}, {})
    True
    >>> everywhere({"fuel": ("propane",)}, {})
    False
    """
    for fact, choices in inner.items():
        left = [set(only_if[fact]) for only_if in outer if fact in only_if]
        if not left or not set.intersection(*left) <= set(choices):
            return False
    return True


def apart_by_design(one: Mapping, other: Mapping) -> bool:
    """Whether no boiler meets both."""
    return any(not set(one[fact]) & set(other[fact]) for fact in one.keys() & other.keys())


def separation(knowledge: Knowledge) -> dict[tuple[str, str], tuple[float, str]]:
    """For each pair of causes that one boiler can have: the best check, and how far it tells.

    How far is the total variation between the outcomes with the one and with the other; only
    checks count that exist on every boiler on which both causes can stand.
    """
    names = tuple(knowledge.causes)
    designs = [cause.only_if for cause in knowledge.causes.values()]
    pairs = np.array(
        [
            (one, other)
            for one, other in combinations(range(len(names)), 2)
            if not apart_by_design(designs[one], designs[other])
        ]
    ).T
    most = np.zeros(pairs.shape[1])
    best = np.full(pairs.shape[1], "", dtype=object)
    for check_id, check in knowledge.checks.items():
        unmoved = outcomes_with(knowledge, check, {})
        seen = np.array(
            [
                outcomes_with(knowledge, check, cause.shows[check_id])
                if check_id in cause.shows
                else unmoved
                for cause in knowledge.causes.values()
            ]
        )
        distance = np.abs(seen[pairs[0]] - seen[pairs[1]]).sum(axis=1) / 2
        if check.only_if:
            distance *= [
                everywhere(check.only_if, designs[one], designs[other]) for one, other in pairs.T
            ]
        farther = distance > most
        most[farther], best[farther] = distance[farther], check_id
    return {
        (names[one], names[other]): (float(far), check)
        for one, other, far, check in zip(*pairs, most, best, strict=True)
    }


def outcomes_with(
    knowledge: Knowledge, check: schema.Check, shown: Mapping[str, str]
) -> np.ndarray:
    """Distribution of a check's outcomes with a cause, the sound boiler's strays included.

    Parameters
    ----------
    check : Check
    shown : mapping of outcome to likelihood word
        What the cause shows there; nothing where it leaves the check as it is.

    Returns
    -------
    ndarray, shape (K,)
        In the order of the check's outcomes; sums to 1.
    """
    _, *faulty = check.outcomes
    strays = [knowledge.probability(check.outcomes[name].in_sound_boiler) for name in faulty]
    own = [knowledge.probability(shown[name]) if name in shown else 0.0 for name in faulty]
    reach = np.cumsum([1 - sum(strays), *strays]) * np.cumsum([1 - sum(own), *own])
    return np.diff(reach, prepend=0.0)

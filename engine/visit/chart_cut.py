"""A fault path chart made smaller: what is left off becomes a place where one goes on without it.

Nothing is worked out anew; a check that is cut off is named with its cautions, the suspects and
what leaving there obliges.
"""

from dataclasses import replace
from itertools import count

from engine.visit import chart_words as words
from engine.visit.chart_tree import ENDED, ON, Chart, End, Place, Step

CHECK_WORTH = 0.05
"""What a check made with the chart is worth beside an end reached in it. Judgement: paths should
come to their ends, though not at the price of the first answers leading nowhere."""

_Kept = tuple[float, tuple[Place, ...]]  # what keeping is worth, and the steps to keep


def cut(chart: Chart, most: int) -> Chart:
    """The chart with the checks that bring the most visits to an end.

    Parameters
    ----------
    chart : Chart
    most : int
        Checks that stay. 1 or more.
    """
    _, kept = _best(chart.root, most)[most]
    return replace(chart, root=numbered(_cut(chart.root, {id(step) for step in kept})))


def _best(place: Place, most: int) -> list[_Kept]:
    """The best choice of at most 0, 1, ... `most` steps of a tree, each with all above it."""
    if isinstance(place, End):
        return [(place.reach if place.kind in ENDED else 0.0, ())] * (most + 1)
    if most == 0:
        return [(0.0, ())]
    below: list[_Kept] = [(CHECK_WORTH * place.reach, (place,))] * most
    for answer in place.answers:
        more = _best(answer.then, most - 1)
        below = [
            max((_both(below[n - m], more[m]) for m in range(n + 1)), key=lambda kept: kept[0])
            for n in range(most)
        ]
    return [(0.0, ()), *below]


def _both(one: _Kept, other: _Kept) -> _Kept:
    return one[0] + other[0], one[1] + other[1]


def _cut(place: Place, kept: set[int]) -> Place:
    if isinstance(place, End):
        return place
    if id(place) not in kept:
        return cut_off(place, words.SIZE_REACHED)
    answers = (replace(answer, then=_cut(answer.then, kept)) for answer in place.answers)
    return replace(place, answers=tuple(answers))


def cut_off(step: Step, says: str) -> End:
    """A check that is named and not followed: where the chart ends and a visit would go on."""
    return End(
        ON, says, step.reach, step.suspects, onward=step.name, first=step.first,
        cautions=step.cautions, governs=step.governs, prove=step.prove,
    )  # fmt: skip


def numbered(root: Place) -> Place:
    """The tree with its steps numbered along the paths."""
    return _numbered(root, count(1))


def _numbered(place: Place, numbers) -> Place:
    if isinstance(place, End):
        return place
    number = next(numbers)
    answers = tuple(
        replace(answer, then=_numbered(answer.then, numbers)) for answer in place.answers
    )
    return replace(place, number=number, answers=answers)

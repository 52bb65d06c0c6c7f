"""What a learner may guess at a place of a fault path chart, before it is shown.

Only the next check or repair is guessed; nothing dangerous waits for a guess.
"""

from engine.visit.chart_tree import REPAIR, Chart, Place, Step

OFFERED = 4
"""Steps to choose from, the right one included. Judgement."""


def step_name(place: Place) -> str:
    """What is to be guessed at a place: the name of its check or repair; empty elsewhere."""
    if isinstance(place, Step):
        return place.name
    return place.says if place.kind == REPAIR else ""


def choices(chart: Chart, given: tuple[str, ...]) -> tuple[str, ...]:
    """Steps to choose from at the place that some answers lead to, by name.

    The others are what the sibling answers lead to, then what most visits come to, each a step
    of this chart that was not made on the way. Empty where nothing is to be guessed.

    Parameters
    ----------
    chart : Chart
    given : tuple of str
        Answers from the first step on.
    """
    way = chart.along(given)
    right = step_name(way[-1])
    if not right:
        return ()
    beside = [answer.then for answer in way[-2].answers] if len(way) > 1 else []
    likeliest = sorted(chart.places(), key=lambda place: -place.reach)
    names = dict.fromkeys(step_name(place) for place in (*beside, *likeliest))
    made = {step_name(place) for place in way}
    others = [name for name in names if name and name not in made]
    return tuple(sorted([right, *others[: OFFERED - 1]]))

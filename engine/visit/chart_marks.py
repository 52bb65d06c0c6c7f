"""Marks that keep a printed chart short: a number for each caution, a letter for each end.

What many places say in the same words is printed once and pointed at.
"""

from dataclasses import dataclass, replace
from string import ascii_uppercase

from engine.visit.chart_tree import ON, RARE, Chart, End, Step


@dataclass(frozen=True)
class Marks:
    """What a chart's cautions and ends are called on paper.

    Attributes
    ----------
    cautions : dict of str to int
        Numbers, in the order in which the chart comes to them.
    governs : tuple of str
        What the cautions defer to.
    ends : dict of End to str
        Letters of the ends, each as `printed`.
    """

    cautions: dict[str, int]
    governs: tuple[str, ...]
    ends: dict[End, str]

    def letter(self, end: End) -> str:
        """The letter of an end; empty for one that is said in full where it stands."""
        return self.ends.get(printed(end), "")


def marks(chart: Chart) -> Marks:
    """The marks of a chart: those of its steps before those of its ends."""
    ends = [place for place in chart.places() if isinstance(place, End) and place.kind != RARE]
    places = (*chart.steps(), *ends)
    cautions = dict.fromkeys(text for place in places for text in place.cautions)
    governs = dict.fromkeys(text for place in places for text in place.governs)
    return Marks(
        cautions={text: number for number, text in enumerate(cautions, 1)},
        governs=tuple(governs),
        ends={end: _letters(n) for n, end in enumerate(dict.fromkeys(map(printed, ends)))},
    )


def printed(end: End) -> End:
    """An end as it is printed: how often one comes there, and how sure, is not in it."""
    return replace(end, reach=0.0, suspects=end.suspects if end.kind == ON else ())


def _letters(place: int) -> str:
    """A, B, ... Z, AA, AB, ...

    Examples
    --------
    >>> _letters(0), _letters(25), _letters(26)
    ('A', 'Z', 'AA')
    """
    rest, last = divmod(place, 26)
    return (_letters(rest - 1) if rest else "") + ascii_uppercase[last]


def came_from(chart: Chart) -> dict[int, int]:
    """The number of the step that leads to each step but the first."""
    return {
        answer.then.number: step.number
        for step in chart.steps()
        for answer in step.answers
        if isinstance(answer.then, Step)
    }

"""Marks that keep a printed chart short: numbers of cautions and proofs, letters of ends.

What many places say in the same words is printed once and pointed at.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from string import ascii_uppercase

from engine.visit.chart_tree import ENDED, RARE, Chart, End, Step
from engine.visit.chart_words import HAZARDS


@dataclass(frozen=True)
class Marks:
    """What a chart's cautions, proofs and ends are called on paper.

    Attributes
    ----------
    cautions, proofs : dict of str to int
        Numbers, in the order in which the chart comes to them.
    governs : tuple of str
        What the cautions defer to.
    ends : dict of End to str
        Letters of the ends at which nothing is left to look for, each as `printed`.
    hazards : dict of str to str
        What each caution is about, in a word.
    """

    cautions: dict[str, int]
    proofs: dict[str, int]
    governs: tuple[str, ...]
    ends: dict[End, str]
    hazards: dict[str, str]

    def letter(self, end: End) -> str:
        """The letter of an end; empty for one that is said in full where it stands."""
        return self.ends.get(printed(end), "")

    def cautions_of(self, texts: Iterable[str]) -> str:
        """Cautions by what they are about and their numbers: 'gas 1, 4; mains 2'."""
        by_hazard: dict[str, list[str]] = {}
        for text in texts:
            by_hazard.setdefault(self.hazards[text], []).append(str(self.cautions[text]))
        return "; ".join(f"{hazard} {', '.join(found)}" for hazard, found in by_hazard.items())

    def proofs_of(self, texts: Iterable[str]) -> str:
        """Proofs by their numbers: 'P1, P4'."""
        return ", ".join(f"P{self.proofs[text]}" for text in texts)


def marks(chart: Chart) -> Marks:
    """The marks of a chart: those of its steps before those of its ends."""
    ends = [place for place in chart.places() if isinstance(place, End) and place.kind != RARE]
    lettered = [end for end in ends if end.kind in ENDED]
    places = (*chart.steps(), *ends)
    cautions = _numbers(text for place in places for text in place.cautions)
    return Marks(
        cautions=cautions,
        proofs=_numbers(text for end in ends for text in end.prove),
        governs=tuple(dict.fromkeys(text for place in places for text in place.governs)),
        ends={end: _letters(n) for n, end in enumerate(dict.fromkeys(map(printed, lettered)))},
        hazards={text: HAZARDS[chart.hazards[text]] for text in cautions},
    )


def _numbers(texts: Iterable[str]) -> dict[str, int]:
    return {text: number for number, text in enumerate(dict.fromkeys(texts), 1)}


def printed(end: End) -> End:
    """An end as it is printed: how often one comes there, and how sure, is not in it."""
    return replace(end, reach=0.0, suspects=())


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

"""What a fault path chart holds: steps, their answers, and where the paths end."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from engine.visit.view import Suspect

REPAIR, REFER, STOP, ON, RARE = "repair", "refer", "stop", "on", "rare"
ENDED = (REPAIR, REFER, STOP)
"""Ends at which nothing is left to look for."""


@dataclass(frozen=True)
class Setup:
    """What is known before the first check, as a case has it."""

    symptoms: tuple[str, ...]
    who: str = "technician"
    facts: Mapping[str, str] = field(default_factory=dict)
    contexts: tuple[str, ...] = ()


@dataclass(frozen=True)
class End:
    """Where a path ends, in words ready to be read out.

    `kind` is repair, refer, stop, on (depth or size reached) or rare (less likely than the chart
    follows). `first` is what has to be shut and opened before a repair, `bring` its parts, `prove`
    what proof and closing the end obliges, `do` what to do at once after a danger sign, `onward`
    the check that would come next, which `first` and `cautions` belong to then.
    """

    kind: str
    says: str
    reach: float
    suspects: tuple[Suspect, ...] = ()
    action: str | None = None
    cause: str | None = None
    aim: str = ""  # the name of `cause`
    first: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    governs: tuple[str, ...] = ()
    bring: tuple[str, ...] = ()
    prove: tuple[str, ...] = ()
    do: tuple[str, ...] = ()
    do_not: tuple[str, ...] = ()
    who_acts: str = ""
    onward: str = ""


@dataclass(frozen=True)
class Answer:
    """One outcome of a check: what one sees, the values that mean it, and where it leads.

    `chance` is P(outcome) at this place; `typical` says that a typical limit stands in `band`.
    """

    outcome: str
    says: str
    means: str
    band: str
    typical: bool
    danger: bool
    chance: float
    then: "Step | End"


@dataclass(frozen=True)
class Step:
    """A check of the chart. `number` counts along the paths, `reach` is P(a visit comes here).

    `prove` is what leaving here obliges.
    """

    number: int
    check: str
    name: str
    asks: str
    figure: str
    minutes: float
    reach: float
    suspects: tuple[Suspect, ...]
    first: tuple[str, ...]
    cautions: tuple[str, ...]
    governs: tuple[str, ...]
    prove: tuple[str, ...]
    answers: tuple[Answer, ...]


Place = Step | End


@dataclass(frozen=True)
class Chart:
    """A compiled chart.

    Attributes
    ----------
    version : str
        Of the knowledge.
    complaints, circumstances, danger_signs, to_begin : tuple of str
        In words; `to_begin` is what is said before the first check.
    facts, not_known, stand_ins : tuple of str
        Of the boiler: what was entered, which main facts were not, and the typical values that
        stand in for figures of its own sheet.
    hazards : dict of str to str
        What each caution is about, by its text.
    depth : int
        Most checks in a row.
    least_chance : float
        Places that fewer visits than this come to are named, not followed.
    """

    setup: Setup
    version: str
    complaints: tuple[str, ...]
    circumstances: tuple[str, ...]
    danger_signs: tuple[str, ...]
    to_begin: tuple[str, ...]
    facts: tuple[str, ...]
    not_known: tuple[str, ...]
    stand_ins: tuple[str, ...]
    hazards: Mapping[str, str]
    depth: int
    least_chance: float
    root: Place

    @property
    def ended(self) -> float:
        """P(a visit reaches a repair, a referral or a stop inside the chart)."""
        ends = (p for p in self.places() if isinstance(p, End) and p.kind in ENDED)
        return sum(end.reach for end in ends)

    def longest(self) -> int:
        """The most checks in a row that the tree holds."""
        return _longest(self.root)

    def places(self) -> tuple[Place, ...]:
        """Every place of the tree, each before those it leads to."""
        found: list[Place] = []
        waiting = [self.root]
        while waiting:
            place = waiting.pop()
            found.append(place)
            if isinstance(place, Step):
                waiting += [answer.then for answer in reversed(place.answers)]
        return tuple(found)

    def steps(self) -> tuple[Step, ...]:
        """The checks of the tree, by number."""
        return tuple(place for place in self.places() if isinstance(place, Step))

    def along(self, outcomes: tuple[str, ...]) -> tuple[Place, ...]:
        """The places that answers lead through, the first one included.

        They end at the first answer that is none of its place's.
        """
        places = [self.root]
        for outcome in outcomes:
            answers = places[-1].answers if isinstance(places[-1], Step) else ()
            then = next((a.then for a in answers if a.outcome == outcome), None)
            if then is None:
                break
            places.append(then)
        return tuple(places)


def _longest(place: Place) -> int:
    if isinstance(place, End):
        return 0
    return 1 + max(_longest(answer.then) for answer in place.answers)

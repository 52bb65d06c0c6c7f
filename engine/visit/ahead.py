"""What each answer of a check would lead to, before anybody has given it."""

from collections import OrderedDict
from dataclasses import dataclass

import numpy as np

from engine import explain, planner
from engine.belief.observers import reliability
from engine.knowledge import Knowledge
from engine.visit import events as happened
from engine.visit.keeping import Visit
from engine.visit.state import fold
from engine.visit.thinking import Thought, think

_ANSWERS: OrderedDict[tuple[Thought, str], tuple["Ahead", ...]] = OrderedDict()
_KEPT_ANSWERS = 8


@dataclass(frozen=True)
class Ahead:
    """One answer of a check.

    Attributes
    ----------
    outcome : str
    chance : float
        Of this answer being given, as whoever looks reports it.
    minutes : float or None
        Expected from there to a proven repair or a referral; None where the planner does not know
        the check, or a repair waits for its proof, for it does not count that in.
    suspects : tuple of (cause, probability)
        What the visit would show after it, the likeliest first; none where it stops.
    stops : bool
        Whether the visit stops there for danger.
    """

    outcome: str
    chance: float
    minutes: float | None
    suspects: tuple[tuple[str, float], ...]
    stops: bool


def answers(known: Knowledge, visit: Visit, check: str) -> tuple[Ahead, ...]:
    """Every answer that can come, in the order of the knowledge; none where the check bears on
    nothing in question."""
    thought = visit.view.thought
    if thought is None or check not in thought.belief.space.network.background:
        return ()
    key = thought, check
    if key not in _ANSWERS:
        _ANSWERS[key] = tuple(_answers(known, visit, check))
        while len(_ANSWERS) > _KEPT_ANSWERS:
            _ANSWERS.popitem(last=False)
    return _ANSWERS[key]


def _answers(known, visit, check):
    outcomes = list(known.checks[check].outcomes)
    for place, chance, minutes in _foreseen(known, visit, check):
        outcome = outcomes[place]
        stops = known.checks[check].outcomes[outcome].danger is not None
        suspects = () if stops else _suspects(known, visit, check, outcome)
        yield Ahead(outcome, chance, minutes, suspects, stops)


def _foreseen(known, visit, check):
    """(place of the answer, its chance, minutes after it) of all that can come."""
    outlook = planner.foresee(visit.view.now, "check", check)
    if outlook:
        return [(a.outcome, a.chance, a.minutes) for a in outlook.answers]
    belief = visit.view.thought.belief
    sure = reliability(known, check, visit.state.who)
    chances = belief.weights @ belief.space.foreseen(check, np.arange(len(belief.weights)))
    chances = sure * chances + (1 - sure) / len(chances)
    return [(place, float(chance), None) for place, chance in enumerate(chances) if chance > 0]


def _suspects(known, visit, check, outcome):
    """The suspects of the visit with this answer given: the same belief as after giving it."""
    given = (len(visit.history) + 1, happened.Found(check=check, outcome=outcome))
    state = fold(known, (*visit.history, given))
    belief = think(known, state, visit.view.thought.belief.space.largest).belief
    return explain.suspects(belief)

"""What a learner may guess: the right step is among the choices, a danger never is."""

import pytest

from engine.visit.chart_guess import OFFERED, choices, step_name
from engine.visit.chart_tree import REPAIR, End
from tests.charts import SETUPS, answered, shipped, toy_chart


@pytest.mark.parametrize("name", SETUPS)
def test_the_right_step_is_offered_among_others_not_made_yet(name):
    chart = shipped(name)
    for place, given in answered(chart):
        outcomes = tuple(outcome for _, outcome in given)
        offered = choices(chart, outcomes)
        if isinstance(place, End) and place.kind != REPAIR:
            assert offered == ()
            continue
        assert step_name(place) in offered
        assert len(offered) == len(set(offered)) <= OFFERED
        assert list(offered) == sorted(offered)
        made = {step_name(before) for before in chart.along(outcomes)[:-1]}
        assert not made & set(offered) - {step_name(place)}


def test_the_choices_are_steps_of_the_chart():
    chart = toy_chart()
    names = {step_name(place) for place in chart.places()}

    assert set(choices(chart, ())) <= names - {""}
    assert len(choices(chart, ())) > 1

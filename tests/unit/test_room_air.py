"""Rules for the air of the boiler room."""

from dataclasses import FrozenInstanceError

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.room_air import (
    LOUVRES,
    OPENING_RULES,
    known_infiltration_room_volume,
    opening_area,
    opening_size,
    standard_room_volume,
)

INPUTS = st.floats(min_value=5e3, max_value=5e5)
RULES = sorted(OPENING_RULES)


@given(total=INPUTS, air_changes=st.floats(0.01, 0.6))
def test_fan_assisted_and_other_appliances_add_up(total, air_changes):
    both = known_infiltration_room_volume(total, 2 * total, air_changes)
    fan = known_infiltration_room_volume(total, 0.0, air_changes)
    other = known_infiltration_room_volume(0.0, 2 * total, air_changes)

    assert both == pytest.approx(fan + other, rel=1e-12)
    assert other == pytest.approx(2 * 21 / 15 * fan, rel=1e-12)


@given(total=INPUTS)
def test_standard_room_is_that_of_known_infiltration_at_0_42_for_a_draught_hood(total):
    """21/0.42 = 50: the standard method stands for 0.42 air changes and natural draught."""
    assert known_infiltration_room_volume(0.0, total, 0.42) == pytest.approx(
        standard_room_volume(total), rel=1e-12
    )


@given(total=INPUTS, rule=st.sampled_from(RULES), more=st.floats(0, 1e5))
def test_more_input_never_asks_for_less(total, rule, more):
    assert opening_area(total + more, rule) >= opening_area(total, rule)
    assert standard_room_volume(total + more) >= standard_room_volume(total)


@given(total=st.floats(30e3, 5e5))
def test_indoors_asks_more_than_a_duct_and_a_duct_more_than_the_wall(total):
    sizes = [
        opening_area(total, rule)
        for rule in ("two_indoor", "two_outdoor_horizontal", "one_outdoor", "two_outdoor_direct")
    ]

    assert sizes == sorted(sizes, reverse=True)


def test_small_inputs_still_need_a_hundred_square_inches_indoors():
    assert opening_area(5e3, "two_indoor") == pytest.approx(100 * 0.0254**2)


@given(total=INPUTS, connectors=st.floats(0.0, 0.2))
def test_only_the_single_opening_covers_the_vent_connectors(total, connectors):
    for rule in RULES:
        least = connectors if rule == "one_outdoor" else 0.0
        assert opening_area(total, rule, connectors) == max(opening_area(total, rule), least)


@pytest.mark.parametrize("louvre", sorted(LOUVRES))
def test_behind_a_louvre_the_free_area_is_left(louvre):
    assert opening_size(0.03, louvre) * LOUVRES[louvre] == pytest.approx(0.03)


def test_rules_say_for_people_what_they_are_and_cannot_change():
    for rule in OPENING_RULES.values():
        assert rule.called
        assert rule.source
        with pytest.raises(FrozenInstanceError):
            rule.openings = 3


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: known_infiltration_room_volume(3e4, 0.0, 0.7), "takes no more than 0.60, however"),
        (lambda: known_infiltration_room_volume(3e4, 0.0, 0.0), "was a blower-door figure"),
        (lambda: standard_room_volume(-100.0), "Add up all appliances"),
        (lambda: opening_area(3e4, "one_outdoors"), "write 'one_outdoor'"),
        (lambda: opening_size(200.0, "metal"), "in square inches or mm² passed"),
        (lambda: opening_size(0.03, "plastic"), "louvre 'plastic' is not known"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()

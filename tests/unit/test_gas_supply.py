"""Laws of the pressure and fan readings at the gas supply."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.gas_supply import pressure_sag, sag_share, speed_ratio

STATIC = st.floats(100, 50_000)
RUNNING = st.floats(-1000, 50_000)


@given(one=RUNNING, other=RUNNING)
def test_sag_changes_sign_with_the_order(one, other):
    assert pressure_sag(one, other) == -pressure_sag(other, one)


@given(static=STATIC, running=RUNNING)
def test_share_of_the_static_pressure_is_the_sag(static, running):
    lost = sag_share(static, running) * static

    assert lost == pytest.approx(pressure_sag(static, running), rel=1e-12, abs=1e-9)


def test_share_runs_from_nothing_lost_to_everything_lost():
    assert sag_share(2000.0, 2000.0) == 0
    assert sag_share(2000.0, 0.0) == 1
    assert sag_share(2000.0, 2100.0) < 0


@given(asked=st.floats(1, 500))
def test_fan_that_does_as_asked_has_ratio_one(asked):
    assert speed_ratio(asked, asked) == 1


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: pressure_sag(1e6, 1500.0), "inches of water passed without converting"),
        (lambda: sag_share(7.0, 6.0), "inches of water unconverted"),
        (lambda: sag_share(0.0, 0.0), "Below 1 mbar there is no supply"),
        (lambda: speed_ratio(4200, 70), "was a speed in rpm"),
        (lambda: speed_ratio(0.0, 0.0), "is the fan not asked to run"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()

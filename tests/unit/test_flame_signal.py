"""Laws of the flame signal: loss and reserve in any unit, bands only where a unit is known."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.flame_signal import (
    BANDS,
    DISPLAY_UNITS,
    YEAR,
    mixture_trend,
    signal_band,
    signal_loss,
    signal_reserve,
    yearly_signal_loss,
)

SIGNALS = st.floats(1.0, 100.0)
CURRENTS = st.floats(0.0, 1e-4)
RATIOS = st.floats(1.0, 2.0)


@given(then=SIGNALS, kept=st.floats(0.0, 4.9), scale=st.floats(1e-7, 10.0))
def test_loss_is_what_was_taken_away_in_any_unit(then, kept, scale):
    lost = signal_loss(kept * then, then)

    assert lost == pytest.approx(1 - kept, abs=1e-9)
    assert signal_loss(scale * kept * then, scale * then) == pytest.approx(lost, abs=1e-9)


@given(then=SIGNALS, kept=st.floats(0.0, 1.0), years=st.floats(0.1, 40.0))
def test_yearly_loss_times_years_is_the_loss(then, kept, years):
    yearly = yearly_signal_loss(kept * then, then, years * YEAR)

    assert yearly * years == pytest.approx(signal_loss(kept * then, then), abs=1e-12)


def test_reserve_is_one_at_the_limit():
    assert signal_reserve(1.5, 1.5) == 1
    assert signal_reserve(np.array([0.0, 3.0]), 1.5).tolist() == [0.0, 2.0]


@given(one=CURRENTS, more=CURRENTS, least=st.floats(1e-7, 2e-5))
def test_more_current_is_never_a_worse_band(one, more, least):
    low, high = sorted((one, more))

    assert BANDS.index(signal_band(low, "microampere", least)) <= BANDS.index(
        signal_band(high, "microampere", least)
    )


@pytest.mark.parametrize(
    ("microamperes", "least", "band"),
    [
        (0.0, 1.0, "none"), (0.29, 1.0, "none"), (0.31, 1.0, "weak"), (0.99, 1.0, "weak"),
        (1.0, 1.0, "watch"), (4.9, 1.0, "watch"), (5.0, 1.0, "solid"), (5.5, 6.0, "weak"),
        (6.1, 6.0, "solid"),
    ],
)  # fmt: skip
def test_bands_are_split_by_the_control_s_own_limit(microamperes, least, band):
    current, limit = (float(f"{each}e-6") for each in (microamperes, least))

    assert signal_band(current, "microampere", limit) == band


def test_bands_of_several_currents():
    found = signal_band(np.array([0.0, 3e-6, 8e-6]), "microampere", 1e-6)

    assert found.tolist() == ["none", "watch", "solid"]


@pytest.mark.parametrize("unit", sorted(set(DISPLAY_UNITS) - {"microampere"}))
def test_a_unit_whose_scale_only_the_maker_knows_has_no_band(unit):
    with pytest.raises(OutOfRange, match="no band without the maker's scale"):
        signal_band(3e-6, unit, 1e-6)


@given(before=RATIOS, after=RATIOS)
def test_leaner_means_less_and_back_means_more(before, after):
    trend = mixture_trend(before, after)

    assert trend == -mixture_trend(after, before)
    assert trend * (after - before) <= 0


@pytest.mark.parametrize(
    ("before", "after", "trend"),
    [(1.2, 1.4, -1), (1.4, 1.2, 1), (1.3, 1.32, 0), (1.0, 1.05, 0), (1.0, 1.2, -1)],
)
def test_trend_is_silent_where_nothing_shows(before, after, trend):
    assert mixture_trend(before, after) == trend


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: signal_loss(60.0, 5.0), "are both signals in one unit"),
        (lambda: signal_loss(-3.0, 5.0), "leads not reversed"),
        (lambda: signal_loss(3.0, 0.0), "was none noted at commissioning"),
        (lambda: yearly_signal_loss(3.0, 5.0, 20.0), "was it in days or months"),
        (lambda: signal_reserve(5.0, 1e-6), "are both signals in one unit"),
        (lambda: signal_band(3.0, "microampere", 1e-6), "was it in µA"),
        (lambda: signal_band(3e-6, "microampere", 1.0), "Data sheets give some"),
        (lambda: signal_band(3e-6, "microamper", 1e-6), "write 'microampere'"),
        (lambda: signal_band(3e-6, None, 1e-6), "write one of microampere, volt"),
        (lambda: mixture_trend(1.3, 0.9), "makes carbon monoxide: stop"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()

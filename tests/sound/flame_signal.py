"""Arguments that every calculation of the flame signal must take."""

from engine.physics import flame_signal as of

_TWO = {"signal_now": 3.6, "signal_then": 6.0}

SOUND = {
    of.signal_loss: _TWO,
    of.yearly_signal_loss: {**_TWO, "elapsed": 6e7},
    of.signal_reserve: {"signal": 3.0, "least_signal": 1.5},
    of.signal_band: {
        "signal": 3e-6,
        "display_unit": "microampere",
        "least_current": 1e-6,
    },
    of.mixture_trend: {"air_ratio_before": 1.25, "air_ratio_after": 1.45},
}

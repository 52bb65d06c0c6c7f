"""Fault path charts for the tests: some of the shipped knowledge, and one of a few lines."""

from functools import lru_cache

from engine.knowledge import schema
from engine.visit import keeping
from engine.visit.chart import LEAST_CHANCE, compile_chart
from engine.visit.chart_tree import Chart, End, Setup, Step
from tests.small_knowledge import BASE, SOURCE, check, knowledge_of

SETUPS = {
    "leak": (Setup(("condensate_backs_up",), facts={"fuel": "natural_gas"}), 2, LEAST_CHANCE, 4),
    "co": (Setup(("co_too_high",), facts={"co_limit": "250 ppm", "altitude": "300 m"}), 2, 0.1, 40),
    "caller": (Setup(("locks_out_no_flame",), "caller", contexts=("cold_snap",)), 2, 0.1, 40),
    "no_licence": (Setup(("recirculation_signs",), "technician_no_gas"), 1, 0.02, 40),
}
"""Setup, depth, least chance and most checks."""


@lru_cache
def shipped(name: str) -> Chart:
    """A chart of the shipped knowledge, worked out once for all tests."""
    setup, depth, least, places = SETUPS[name]
    return compile_chart(keeping.knowledge(), setup, depth, places, least)


def answered(chart):
    """Every place with the answers that lead to it, as (check, outcome)."""
    waiting = [(chart.root, ())]
    while waiting:
        place, given = waiting.pop()
        yield place, given
        if isinstance(place, Step):
            waiting += [(a.then, (*given, (place.check, a.outcome))) for a in place.answers]


def ends(chart):
    return [place for place in chart.places() if isinstance(place, End)]


HEARD = ("listen_first", "listen_again", "listen_once_more")


def toy(bang="Bang", dangerous=True):
    """Two causes with a ten-hour repair each, and three checks of five minutes.

    Each check tells one cause by a hum heard half the time, and its bang may be a danger sign.
    """
    danger = schema.Danger(advice=["Leave."], do_not=["Do not look."], who_acts="The fitter.")
    outcomes = dict(BASE["checks"]["listen"].outcomes)
    outcomes["bang"] = outcomes["bang"].model_copy(
        update={"says": bang, "danger": danger if dangerous else None}
    )
    listen = check(outcomes, access=["cover_off"])
    listen = listen.model_copy(update={"who": "technician"})
    change = BASE["actions"]["change_it"].model_copy(update={"minutes": 600.0})
    cover = schema.Access(
        name="Cover off", kind="opened", open_minutes=2, close_minutes=2, who="technician", **SOURCE
    )
    shown = {"worn": {"look": {"dirty": "hardly"}}, "loose": {n: {"hum": "half"} for n in HEARD}}
    mended = {"worn": "change_it", "loose": "fasten_it"}
    return knowledge_of(
        access={"cover_off": cover},
        actions={"change_it": change, "fasten_it": change.model_copy(update={"name": "Fasten it"})},
        causes={
            name: BASE["causes"]["worn"].model_copy(
                update={
                    "name": name.capitalize(), "shows": shown[name], "promotes": {},
                    "seen_with": {"no_heat": "common"}, "mended_by": {mended[name]: "mostly"},
                }
            )
            for name in mended
        },
        checks={
            "look": BASE["checks"]["look"],
            **{name: listen.model_copy(update={"name": name}) for name in HEARD},
        },
        symptoms={"no_heat": BASE["symptoms"]["no_heat"]},
    )  # fmt: skip


def toy_chart(**bounds):
    return compile_chart(toy(), Setup(("no_heat",)), **bounds)

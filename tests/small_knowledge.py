"""A knowledge base of a few lines, written in the forms themselves so that nothing is read.

Two complaints, three causes, two checks, two actions; every number is chosen to be easy to work
with on paper.
"""

from engine.knowledge import Knowledge, schema
from engine.knowledge import graph as graphs
from engine.physics import CALCULATIONS

SOURCE = {"source": ["paper"]}


def word(probability):
    return schema.Word(says="a word", probability=probability, **SOURCE)


def symptom(share):
    return schema.Symptom(
        name="A complaint", group="runs_badly", caller_says=["it does"], share=share, **SOURCE
    )


def instrument(quantity, at_least=None, of_reading=None, **more):
    return schema.Instrument(
        name="An instrument", quantity=quantity,
        accuracy={"at_least": at_least, "of_reading": of_reading}, **SOURCE, **more,
    )  # fmt: skip


def outcome(in_sound_boiler=None):
    return schema.Outcome(says="seen", means="meant", in_sound_boiler=in_sound_boiler)


def check(outcomes, reading=None, **more):
    return schema.Check(
        name="A check", asks="What is seen?", minutes=5, who="caller", outcomes=outcomes,
        reading=reading, **SOURCE, **more,
    )  # fmt: skip


def cause(seen_with, standing, shows, **more):
    return schema.Cause(
        name="A cause", system="ignition", mechanism="It wears.", seen_with=seen_with,
        standing=standing, shows=shows, mended_by={"change_it": "mostly"}, **SOURCE, **more,
    )  # fmt: skip


def knowledge_of(calculations=CALCULATIONS, **kinds):
    """A Knowledge of the given entries; kinds not named are those below, or empty."""
    entries = {kind: {} for kind in schema.KINDS} | BASE | kinds
    return Knowledge(
        **entries,
        graph=graphs.build(entries),
        calculations=calculations,
        places={},
        version="on paper",
    )


BASE = {
    "words": {"mostly": word(0.8), "half": word(0.5), "hardly": word(0.1)},
    "commonness": {
        "common": schema.Commonness(says="common", weight=6, **SOURCE),
        "rare": schema.Commonness(says="rare", weight=2, **SOURCE),
    },
    "standing": {
        "tenth": schema.Standing(says="a tenth", probability=0.1, **SOURCE),
        "fifth": schema.Standing(says="a fifth", probability=0.2, **SOURCE),
    },
    "shifts": {
        "triple": schema.Shift(says="three times", factor=3, **SOURCE),
        "half": schema.Shift(says="half", factor=0.5, **SOURCE),
    },
    "symptoms": {"no_heat": symptom("common"), "noise": symptom("rare")},
    "contexts": {
        "frost": schema.Context(
            name="Frost", ask="Frost?", shifts={"worn": "triple"}, **SOURCE
        ),
        "new": schema.Context(
            name="New", ask="New?", shifts={"worn": "half", "loose": "triple"}, **SOURCE
        ),
    },
    "checks": {
        "look": check({"clean": outcome(), "dirty": outcome("hardly")}),
        "listen": check({"quiet": outcome(), "hum": outcome("hardly"), "bang": outcome("hardly")}),
    },
    "actions": {
        "change_it": schema.Action(
            name="Change it", kind="replace", how=["Change it."], minutes=20, who="technician",
            **SOURCE,
        )
    },
    "causes": {
        "worn": cause(
            {"no_heat": "common", "noise": "rare"}, "tenth", {"look": {"dirty": "mostly"}},
            promotes={"loose": "triple"},
        ),
        "loose": cause(
            {"no_heat": "rare"}, "fifth", {"listen": {"hum": "half"}},
            only_if={"fuel": ["natural_gas"]},
        ),
        "cracked": cause({"noise": "common"}, "tenth", {"listen": {"bang": "mostly"}}),
    },
}  # fmt: skip

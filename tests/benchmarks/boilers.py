"""Boilers with a hidden fault, drawn from the shipped knowledge's own model."""

from engine.belief.network import Network
from engine.knowledge import Knowledge
from engine.visit.rehearsal import USUAL, WHO, Boiler, every_cause

__all__ = ["FACTS", "WHO", "Boiler", "everything"]

FACTS = USUAL
"""What is known of every boiler drawn; without it a boiler would have two kinds of igniter."""


def everything(known: Knowledge, symptom: str) -> Network:
    """The network of one complaint with every cause that may stand beside the chief one."""
    return every_cause(known, symptom, FACTS)

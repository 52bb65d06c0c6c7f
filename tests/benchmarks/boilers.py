"""Boilers with a hidden fault, drawn from the shipped knowledge's own model.

Every draw has its own seed, named by the visit and what is drawn, so that two policies which ask
the same boiler the same thing hear the same answer (common random numbers).
"""

import random
from dataclasses import dataclass

import numpy as np

from engine.belief import network as networks
from engine.belief.network import UNLISTED, Network
from engine.belief.observers import PROOF_PASSES, RELIABILITY
from engine.knowledge import Knowledge

WHO = "technician"

FACTS = {
    "fuel": "natural_gas",
    "igniter_type": "spark",
    "ratio_control": "pneumatic",
    "vent_type": "separate_pipes",
}
"""What is known of every boiler drawn; without it a boiler would have two kinds of igniter."""


def everything(known: Knowledge, symptom: str) -> Network:
    """The network of one complaint with every cause that may stand beside the chief one."""
    found = [
        (name, outcome)
        for name, check in known.checks.items()
        for outcome in check.outcomes
        if outcome != check.healthy
    ]
    return networks.build(known, [symptom], (), FACTS, found)


@dataclass(eq=False)
class Boiler:
    """One boiler with its faults; `mend` takes them out."""

    known: Knowledge
    network: Network
    seed: str
    faults: set[str]
    chief: str

    @classmethod
    def drawn(cls, known: Knowledge, network: Network, seed: str) -> "Boiler":
        """A boiler of which somebody makes this complaint."""
        dice = random.Random(f"{seed} faults")
        chief = dice.choices(range(len(network.causes)), network.chief[0])[0]
        faults = {network.causes[chief]}
        for i, name in enumerate(network.causes):
            prevalence = network.promoted.get((chief, i), network.standing[i])
            if dice.random() < prevalence:
                faults.add(name)
        return cls(known, network, seed, faults, network.causes[chief])

    def answer(self, check: str, epoch: int) -> str:
        """The outcome that the technician reports, his own slips included."""
        dice = random.Random(f"{self.seed} {check} {epoch}")
        outcomes = list(self.known.checks[check].outcomes)
        rows = [i for i, name in enumerate(self.network.causes) if name in self.faults]
        below = self.network.background[check] * self.network.effects[check][rows].prod(axis=0)
        shown = int(np.searchsorted(below, dice.random(), side="right"))
        word = self.known.checks[check].reliability.get(WHO)
        if dice.random() > (self.known.probability(word) if word else RELIABILITY[WHO]):
            shown = dice.randrange(len(outcomes))
        return outcomes[min(shown, len(outcomes) - 1)]

    def mend(self, action: str) -> None:
        """Do a repair; each fault that it can mend is mended with its probability."""
        for name in sorted(self.faults - {UNLISTED}):
            word = self.known.causes[name].mended_by.get(action)
            dice = random.Random(f"{self.seed} {action} {name}")
            if word and dice.random() < self.known.probability(word):
                self.faults.discard(name)

    def complaint_gone(self) -> bool:
        """Whether the cause that brought the complaint is out.

        Companions stand in boilers that nobody complains of, so they do not bring it back.
        """
        return self.chief not in self.faults

    def starts_cleanly(self, epoch: int) -> bool:
        """Whether five starts in a row pass."""
        sound = "sound" if self.complaint_gone() else "faulty"
        return random.Random(f"{self.seed} starts {epoch}").random() < PROOF_PASSES[sound]

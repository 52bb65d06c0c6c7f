"""The knowledge rehearsed: a cause is put into a boiler, and the advice is followed to its end.

What a review of the words cannot tell: whether a cause is found when it is there, alone or beside
a companion that often comes with it, in how many minutes, and which checks are never worth asking.
The boilers answer by the same knowledge that the advice is computed with, the slips of a
technician included, so this judges whether the knowledge can be worked with, not whether it is
true.
"""

import random
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from engine.belief import network as networks
from engine.belief.network import UNLISTED, Network
from engine.belief.observers import PROOF_PASSES, reliability
from engine.belief.posterior import Space
from engine.knowledge import Knowledge
from engine.knowledge.before import gives_verdict
from engine.visit import events as happened
from engine.visit.dangers import may_go_on
from engine.visit.state import fold
from engine.visit.view import look

WHO = "technician"

MOST_STEPS = 40
"""A visit that has not ended after so many steps counts as given up. Judgement."""

COMPANIONS = 2
"""With how many causes that it makes more likely a cause is rehearsed. Judgement."""

USUAL = {"fuel": "natural_gas", "igniter_type": "spark", "ratio_control": "pneumatic",
         "vent_type": "separate_pipes"}  # fmt: skip
"""What is known of a boiler where the cause does not need it otherwise."""


@dataclass(eq=False)
class Boiler:
    """One boiler with its faults; `mend` takes them out.

    Every draw has its own seed, named by the boiler and what is drawn, so that whoever asks the
    same boiler the same thing hears the same answer.
    """

    known: Knowledge
    network: Network
    seed: str
    faults: set[str]
    chief: str

    @classmethod
    def drawn(cls, known: Knowledge, network: Network, seed: str) -> "Boiler":
        """A boiler of which somebody makes the complaint of the network."""
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
        if dice.random() > reliability(self.known, check, WHO):
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


def every_cause(known: Knowledge, complaint: str, facts: Mapping[str, str]) -> Network:
    """The network of one complaint with every cause that such a boiler can have."""
    found = [
        (name, outcome)
        for name, check in known.checks.items()
        for outcome in check.outcomes
        if outcome != check.healthy
    ]
    return networks.build(known, [complaint], (), facts, found)


@dataclass(frozen=True)
class Ended:
    """How one visit ended.

    `end` is mended, left_in (called mended, and the cause is still there), stopped, referred or
    given_up; `place` that of the cause among the suspects before the first repair, or at the end
    where none was done, 1 for the first.
    """

    end: str
    minutes: float
    checks: tuple[str, ...]
    place: int


def follow(known: Knowledge, boiler: Boiler, complaint: str, facts: Mapping[str, str]) -> Ended:
    """Follow the advice on one boiler."""
    told: list = [
        happened.Opened(who=WHO),
        *(happened.FactStated(fact=name, value=value) for name, value in facts.items()),
        happened.SymptomReported(symptom=complaint),
    ]
    minutes, asked, repairs, place = 0.0, [], 0, 0
    for _ in range(MOST_STEPS):
        state = fold(known, list(enumerate(told, 1)))
        view = look(known, state)
        if may_go_on(state):
            told.append(happened.MadeSafe(event=len(told), words="gas shut, room as outdoors"))
            continue
        if state.danger:
            return Ended("stopped", minutes, tuple(asked), place)
        if not repairs:
            order = [suspect.cause for suspect in view.suspects]
            place = order.index(boiler.chief) + 1 if boiler.chief in order else len(order) + 1
        step = view.next
        if step is None or step.kind == "refer":
            return Ended("referred", minutes, tuple(asked), place)
        minutes += step.minutes
        if step.kind == "check":
            asked.append(step.id)
            outcome = boiler.answer(step.id, repairs)
            told.append(happened.Found(check=step.id, outcome=outcome))
        elif step.kind == "action":
            repairs += 1
            boiler.mend(step.id)
            told.append(happened.ActionDone(action=step.id, cause=step.cause))
        elif not gives_verdict(known, step.id):
            told.append(_as_it_should_be(known, step.id))
        elif boiler.starts_cleanly(repairs):
            end = "mended" if boiler.complaint_gone() else "left_in"
            return Ended(end, minutes, tuple(asked), place)
        else:
            told.append(happened.Proved(closing=step.id, words="one failed", failed=True))
    return Ended("given_up", minutes, tuple(asked), place)


def _as_it_should_be(known, closing) -> happened.Proved:
    entry = known.closing[closing]
    outcome = entry.passes[0] if entry.check else None
    return happened.Proved(closing=closing, outcome=outcome, words="as it should be")


@dataclass(frozen=True)
class Rehearsed:
    """Some visits to boilers with one cause, alone or with a companion.

    Attributes
    ----------
    cause, beside : str
        Ids; `beside` is empty where the cause is alone.
    complaint : str
        The complaint that it is commonest with.
    visits : int
    first, mended, referred, stopped : float
        Shares of the visits in which it was the first suspect before the first repair, in which it
        was mended, which ended referred, and which a danger sign stopped.
    minutes : float
        Mean, to the proof, the referral or the stop.
    asked : tuple of str
        Checks that were made in any of them.
    """

    cause: str
    beside: str
    complaint: str
    visits: int
    first: float
    mended: float
    referred: float
    stopped: float
    minutes: float
    asked: tuple[str, ...]


def settings(known: Knowledge, causes: Collection[str] = ()) -> Iterator[tuple[str, str]]:
    """(cause, companion) of all rehearsals; the companion is empty where the cause is alone."""
    for name in causes or known.causes:
        if complaint_of(known, name) is None:
            continue
        yield name, ""
        promoted = sorted(
            known.causes[name].promotes.items(), key=lambda item: -known.shifts[item[1]].factor
        )
        beside = [other for other, _ in promoted if facts_for(known, name, other) is not None]
        yield from ((name, other) for other in beside[:COMPANIONS])


def complaint_of(known: Knowledge, cause: str) -> str | None:
    """The complaint that a cause is commonest with; None where it shows by danger signs alone."""
    weights = {
        symptom: known.commonness[word].weight
        for symptom, word in known.causes[cause].seen_with.items()
        if known.symptoms[symptom].danger is None
    }
    return max(weights, key=weights.get) if weights else None


def facts_for(known: Knowledge, *causes: str) -> dict[str, str] | None:
    """Facts of a boiler that can have all of these causes; None where there is none."""
    facts = dict(USUAL)
    for fact in {fact for name in causes for fact in known.causes[name].only_if}:
        needed = [known.causes[n].only_if[fact] for n in causes if fact in known.causes[n].only_if]
        both = [choice for choice in needed[0] if all(choice in other for other in needed)]
        if not both:
            return None
        if facts.get(fact) not in both:
            facts[fact] = both[0]
    return facts


def rehearse(known: Knowledge, cause: str, beside: str = "", visits: int = 3) -> Rehearsed:
    """Follow the advice on some boilers with a cause, alone or with a companion."""
    complaint = complaint_of(known, cause)
    faults = {cause, beside} - {""}
    facts = facts_for(known, *faults)
    network = every_cause(known, complaint, facts)
    ends = [
        follow(
            known,
            Boiler(known, network, f"{cause} {beside} {number}", set(faults), cause),
            complaint,
            facts,
        )
        for number in range(visits)
    ]
    return Rehearsed(
        cause,
        beside,
        complaint,
        visits,
        first=float(np.mean([end.place == 1 for end in ends])),
        mended=float(np.mean([end.end == "mended" for end in ends])),
        referred=float(np.mean([end.end == "referred" for end in ends])),
        stopped=float(np.mean([end.end == "stopped" for end in ends])),
        minutes=float(np.mean([end.minutes for end in ends])),
        asked=tuple(dict.fromkeys(check for end in ends for check in end.checks)),
    )


def never_asked(known: Knowledge, rehearsed: Collection[Rehearsed]) -> tuple[str, ...]:
    """Checks that no rehearsal found worth their minutes."""
    asked = {check for one in rehearsed for check in one.asked}
    return tuple(
        name for name, check in known.checks.items() if not check.derived and name not in asked
    )


def out_of_order(known: Knowledge) -> Iterator[tuple[str, str, str]]:
    """(complaint, cause, other): where the cause is said to be commoner with the complaint, and yet
    is believed less likely to have brought it than the other, with all that may stand beside it.
    """
    for name, symptom in known.symptoms.items():
        if symptom.danger:
            continue
        network = every_cause(known, name, {})
        belief = Space(network).belief()
        brought = dict(zip(network.causes, belief.to_mend(), strict=True))
        stated = {
            cause: known.commonness[entry.seen_with[name]].weight
            for cause, entry in known.causes.items()
            if name in entry.seen_with and cause in brought
        }
        for cause, weight in stated.items():
            for other, less in stated.items():
                if weight > less and brought[cause] < brought[other]:
                    yield name, cause, other

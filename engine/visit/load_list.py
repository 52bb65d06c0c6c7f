"""What to load for a visit, and the chance that it is enough for one visit.

The belief says how likely each set of causes is, the causes say which repairs mend them and how
surely, the repairs which parts they take, and what they open which gaskets go back with it. A
repair can be made if all its parts are loaded. The chance of a given load is exact for these
numbers; which load is proposed is chosen step by step, the most gained for the price first.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from engine import safety
from engine.belief.posterior import Belief
from engine.errors import UnreadableValue
from engine.knowledge import Knowledge
from engine.visit.keeping import Visit
from engine.visit.weighing import in_hundred

ASSUMES = (
    "Counted: repairs that a licensed technician makes on one visit with the listed parts, each as "
    "sure as its word says and independent of the others.",
    "New gaskets are counted for what a repair opens, not for what is opened only to look.",
    "Not counted: work of others (supplier, builder), a cause that no file names, and parts that "
    "turn out to be the wrong size. A part that two repairs need is loaded once.",
)
"""What the chance takes for granted, to be said with it."""

LEAST_GAIN = 0.02
"""Parts that raise the chance by less are not proposed. Judgement."""

NAMED_GAIN = 0.01
"""From this gain on further parts are named beside the proposed ones. Judgement."""

GAIN_A_MINUTE = 0.0003
"""Nor those that raise it by less for each minute of their price: 7 in 100 for a part as dear as
four hours. They come back unused more often than not. Judgement."""

Load = Mapping[str, int]  # part -> how many of it


@dataclass(frozen=True)
class Proposal:
    """A load, its chance, and what the next part worth naming would make of it."""

    load: dict[str, int]
    chance: float
    adding: tuple[str, ...]
    then: float
    with_all: float


class Loading:
    """The repairs that a visit may come to, by the belief, and what they take.

    Parameters
    ----------
    facts : mapping
        Of this boiler, in SI or as choices.
    made : collection of str
        Repairs made already: not counted again.
    """

    def __init__(
        self,
        known: Knowledge,
        belief: Belief,
        facts: Mapping[str, object],
        made: Iterable[str] = (),
    ):
        self._belief = belief
        names, made = belief.space.network.causes, set(made)
        chances = dict(zip(names, belief.marginals(), strict=True))
        mends: dict[str, dict[str, float]] = {}
        for cause in names:
            entry = known.causes.get(cause)  # the unlisted one stands in no file
            if entry is None or chances[cause] <= 0:
                continue
            for action, word in entry.mended_by.items():
                if action not in made and _one_visit(known, facts, action):
                    mends.setdefault(action, {})[cause] = known.probability(word)
        self.needs = {action: parts_of(known, action) for action in mends}
        self.prices = _prices(known, mends)
        self._fails = np.ones((len(mends), len(names) + 1))  # the last column: no cause there
        for row, works in enumerate(mends.values()):
            for cause, probability in works.items():
                self._fails[row, names.index(cause)] -= probability

    def chance(self, load: Load) -> float:
        """P(what must be mended is mended with this load).

        Of one complaint that is its chief cause, of several complaints every cause of the set.
        """
        can = [_covers(load, need) for need in self.needs.values()]
        mended = 1 - np.prod(self._fails[can], axis=0)
        space = self._belief.space
        by_place = mended[space.sets]
        if space.chief is None:
            none = space.sets == len(space.network.causes)
            each = np.where(none, 1.0, by_place).prod(axis=1) * ~none.all(axis=1)
        else:
            each = (space.chief * by_place).sum(axis=1)
        return float(np.clip(self._belief.weights @ each, 0.0, 1.0))

    def everything(self) -> dict[str, int]:
        """All parts of all repairs."""
        load: dict[str, int] = {}
        for need in self.needs.values():
            load = _with(load, need)
        return load

    def propose(self) -> Proposal:
        """What is worth loading, the most gained for its price first."""
        load: dict[str, int] = {}
        chance = self.chance(load)
        while (step := self._best(load, chance, worth=True)) is not None:
            load, chance = step
        for part in sorted(load, key=lambda p: -self.prices[p]):  # what a later one made needless
            rest = {name: count for name, count in load.items() if name != part}
            if self.chance(rest) >= chance - 1e-12:
                load = rest
        return self.judged(load)

    def judged(self, load: Load) -> Proposal:
        """A load, the dearest part first, with its chance and the parts that would add most."""
        dearest = sorted(load, key=lambda part: -self.prices[part])
        load = {part: load[part] for part in dearest if load[part] > 0}
        chance = self.chance(load)
        after = self._best(load, chance, worth=False)
        adding = tuple(p for p in after[0] if after[0][p] > load.get(p, 0)) if after else ()
        return Proposal(
            load, chance, adding, after[1] if after else chance, self.chance(self.everything())
        )

    def _best(self, load, chance, worth) -> tuple[dict[str, int], float] | None:
        """The load with what one more repair takes: the most gained for its price, or of what is
        not worth its price the most gained. None where nothing gains enough."""
        best, highest = None, 0.0
        for missing in self._missing(load):
            then = _with(load, missing)
            gain, price = self.chance(then) - chance, self._price(missing, load)
            if gain < (max(LEAST_GAIN, GAIN_A_MINUTE * price) if worth else NAMED_GAIN):
                continue
            merit = gain / price if worth else gain
            if merit > highest:
                best, highest = (then, chance + gain), merit
        return best

    def _missing(self, load) -> list[dict[str, int]]:
        found = (
            {part: count for part, count in need.items() if load.get(part, 0) < count}
            for need in self.needs.values()
        )
        return [dict(each) for each in dict.fromkeys(tuple(need.items()) for need in found if need)]

    def _price(self, missing, load) -> float:
        """Minutes of labour; at least one, for whatever is loaded has to be fetched."""
        return max(
            1.0, sum(self.prices[p] * (count - load.get(p, 0)) for p, count in missing.items())
        )


def parts_of(known: Knowledge, action: str) -> dict[str, int]:
    """Parts of a repair with the gaskets that closing what it opens takes, each with its count.

    Examples
    --------
    >>> from engine.visit.keeping import knowledge
    >>> parts_of(knowledge(), "replace_igniter")
    {'Spark igniter': 1, 'Igniter gasket': 1}
    """
    need: dict[str, int] = {}
    for part in _parts(known, action):
        need[part.part] = max(need.get(part.part, 0), part.count)
    return need


def _parts(known, action):
    entry = known.actions[action]
    layers = safety.opened_for(known, "actions", action)
    closing = [name for layer in layers for name in known.access[layer].closing]
    obliged = [part for name in (*closing, *entry.verify) for part in known.closing[name].parts]
    return (*entry.parts, *obliged)


def _prices(known, actions) -> dict[str, float]:
    return {part.part: part.minutes for name in actions for part in _parts(known, name)}


def _one_visit(known, facts, action) -> bool:
    """Whether a technician makes this repair himself on this boiler."""
    handed_on = known.actions[action].kind == "refer" or known.actions[action].others_minutes > 0
    return not handed_on and safety.possible(known, facts, "actions", action)


def _covers(load, need) -> bool:
    return all(load.get(part, 0) >= count for part, count in need.items())


def _with(load, need) -> dict[str, int]:
    return {**load, **{part: max(load.get(part, 0), count) for part, count in need.items()}}


def loading(known: Knowledge, visit: Visit) -> Loading | None:
    """The loading of a visit as it stands; None where nothing is believed yet, or danger stands."""
    if visit.view.thought is None:
        return None
    made = [done.action for done in visit.state.done]
    return Loading(known, visit.view.thought.belief, visit.state.facts, made)


def chosen(loading: Loading, parts: Iterable[str]) -> dict[str, int]:
    """A load of parts named by hand, of each as many as any repair takes.

    Raises
    ------
    UnreadableValue
        If no repair of this visit takes such a part.
    """
    every = loading.everything()
    parts = tuple(parts)
    unknown = [part for part in parts if part not in every]
    if unknown:
        raise UnreadableValue(f"no repair of this visit takes {unknown[0]!r}; take it out")
    return {part: every[part] for part in parts}


def in_words(proposal: Proposal) -> tuple[str, ...]:
    """The load and its chance in sentences."""
    load, count = proposal.load, len(proposal.load)
    if load:
        these = "This part" if count == 1 else f"These {count} parts"
        lines = [
            f"Load: {counted(load)}.",
            f"{these}: {in_hundred(proposal.chance)} that one visit is enough.",
        ]
    else:
        lines = [f"No parts: {in_hundred(proposal.chance)} that one visit is enough."]
    if proposal.adding:
        added = " and ".join(proposal.adding)
        lines.append(f"With {added} as well: {in_hundred(proposal.then)}.")
    if proposal.with_all - max(proposal.chance, proposal.then) >= NAMED_GAIN:
        lines.append(f"With every part that any cause may need: {in_hundred(proposal.with_all)}.")
    return tuple(lines)


def counted(load: Load) -> str:
    """The parts on one line."""
    return ", ".join(f"{count} × {part}" for part, count in load.items())

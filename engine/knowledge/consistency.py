"""The rules over all files: ids exist, words add up, the access order holds."""

from itertools import combinations

import networkx as nx

from engine import units
from engine.errors import SightportError, nearest
from engine.knowledge import graph as graphs
from engine.knowledge import schema
from engine.knowledge.accuracy import MOST, in_numbers
from engine.knowledge.gathering import Gathering
from engine.knowledge.measured import ReadingRules
from engine.knowledge.references import SINGULAR, references
from engine.knowledge.spoken import check_spoken
from engine.knowledge.yearly import check_yearly

SHORTEST, LONGEST = 5.0, 7200.0
"""Seconds between which a wait by the clock lies. Judgement."""


def check_all(gathering: Gathering) -> None:
    """Report everything that does not hold together."""
    _Rules(gathering).check_all()


class _Rules:
    """The rules, over what was gathered."""

    def __init__(self, gathering: Gathering):
        self.gathering = gathering
        self.entries = gathering.entries
        self.report = gathering.report

    def check_all(self) -> None:
        for kind, entries in self.entries.items():
            for name, entry in entries.items():
                for path, target, wanted in references(kind, entry):
                    self._check_reference((kind, name, *path), target, wanted)
                for path, what, mend in check_spoken(kind, entry):
                    self.report((kind, name, *path), what, mend)
        for name, entry in self.entries["facts"].items():
            self._check_fact(("facts", name), entry)
        for name, entry in self.entries["instruments"].items():
            self._check_instrument(("instruments", name), entry)
        for name, entry in self.entries["checks"].items():
            self._check_outcomes(("checks", name), entry)
            self._check_look_next(("checks", name, "outcomes"), entry)
            if entry.reading:
                ReadingRules(self.gathering, name, entry).check()
        for name, entry in self.entries["causes"].items():
            self._check_shows(("causes", name), entry)
        for name, entry in self.entries["closing"].items():
            self._check_closing(("closing", name), entry)
        for name, entry in self.entries["actions"].items():
            self._check_only_after(("actions", name, "only_after"), entry)
        for kind in ("checks", "closing"):
            for name, entry in self.entries[kind].items():
                self._check_waits((kind, name, "waits"), entry)
        self._check_access()
        for kind in ("checks", "actions", "causes", "contexts", "closing"):
            for name, entry in self.entries[kind].items():
                self._check_only_if((kind, name), entry)
        for name, entry in self.entries["contexts"].items():
            self._check_when(("contexts", name, "when"), entry)
        check_yearly(self.gathering)

    def _check_look_next(self, path, check) -> None:
        for name, outcome in check.outcomes.items():
            for position, wanted in enumerate(outcome.look_next):
                other = self.entries["checks"].get(wanted)
                if other is not None and other.derived:
                    self.report(
                        (*path, name, "look_next", position),
                        f"nobody can make {wanted!r}: it is worked out from other checks",
                        "name a check that reads what it needs",
                    )

    def _check_reference(self, path, target, wanted) -> None:
        if wanted in self.gathering.written[target]:
            return
        close = nearest(wanted, self.gathering.written[target])
        singular = SINGULAR[target]
        self.report(
            path,
            f"{singular} {wanted!r} is not defined in any file",
            f"write {close!r}" if close else f"add a {singular} with this id, or take it out here",
        )

    def _check_only_if(self, path, entry) -> None:
        for name, allowed in entry.only_if.items():
            fact = self.entries["facts"].get(name)
            if fact is None:
                continue
            if not fact.choices:
                self.report(
                    (*path, "only_if", name),
                    f"fact {name!r} is a number, not a choice",
                    "use a fact with choices",
                )
                continue
            for choice in allowed:
                if choice not in fact.choices:
                    self.report(
                        (*path, "only_if", name),
                        f"{choice!r} is not a choice of fact {name!r}",
                        f"choose from {', '.join(fact.choices)}",
                    )

    def _check_when(self, path, entry) -> None:
        for name, stretch in entry.when.items():
            fact = self.entries["facts"].get(name)
            if fact is None:
                continue
            if not fact.quantity:
                self.report(
                    (*path, name),
                    f"fact {name!r} is a choice, not a number",
                    "use a fact with a number",
                )
                continue
            self.gathering.ascending((*path, name), stretch, fact.quantity)

    def _check_fact(self, path, fact) -> None:
        if (fact.choices is None) == (fact.quantity is None):
            self.report(
                path,
                "a fact is either a choice or a number",
                "give either 'choices' or 'quantity' with 'unit'",
            )
            return
        if fact.choices is not None:
            if fact.assumed and fact.assumed not in fact.choices:
                self.report(
                    (*path, "assumed"),
                    f"{fact.assumed!r} is not one of the choices",
                    f"choose from {', '.join(fact.choices)}",
                )
            return
        if not self._quantity_known(path, fact.quantity):
            return
        self.gathering.quantity_text((*path, "unit"), f"1 {fact.unit}", fact.quantity)
        if fact.typical:
            self.gathering.limit_values((*path, "typical"), fact.typical, fact.quantity)
        if fact.spread:
            self._check_spread((*path, "spread"), fact)
        if fact.plausible:
            self.gathering.ascending((*path, "plausible"), fact.plausible, fact.quantity)

    def _check_spread(self, path, fact) -> None:
        share = self.gathering.quantity_text(path, fact.spread, "share_of_reading")
        if share is not None and not 0 < share <= MOST:
            self.report(
                path, f"a spread of {fact.spread!r} tells nothing", f"write 0 to {MOST:.0%}"
            )
        if not fact.typical:
            self.report(path, "a spread without a typical figure", "add 'typical', or take it out")

    def _quantity_known(self, path, quantity) -> bool:
        if quantity in units.QUANTITIES:
            return True
        close = nearest(quantity, units.QUANTITIES)
        self.report(
            (*path, "quantity"),
            f"unknown quantity {quantity!r}",
            f"write {close!r}" if close else f"choose from {', '.join(units.QUANTITIES)}",
        )
        return False

    def _check_instrument(self, path, instrument) -> None:
        if not self._quantity_known(path, instrument.quantity):
            return
        try:
            in_numbers(instrument.accuracy, instrument.quantity)
        except SightportError as error:
            what, _, mend = str(error).partition("; ")
            self.report((*path, "accuracy"), what, mend)

    def _check_outcomes(self, path, check) -> None:
        first, *others = check.outcomes
        if check.outcomes[first].in_sound_boiler:
            self.report(
                (*path, "outcomes", first, "in_sound_boiler"),
                "the first outcome is the healthy one and takes what the others leave",
                "take 'in_sound_boiler' out here",
            )
        total = 0.0
        for name in others:
            word = check.outcomes[name].in_sound_boiler
            if word is None:
                self.report(
                    (*path, "outcomes", name),
                    f"outcome {name!r} does not say how often a sound boiler shows it",
                    "add 'in_sound_boiler' with a likelihood word",
                )
            elif word in self.entries["words"]:
                total += self.entries["words"][word].probability
        if total >= 1:
            self.report(
                (*path, "outcomes"),
                f"the faulty outcomes add up to {total:.2f}",
                "choose rarer words; they must stay below 1",
            )

    def _check_shows(self, path, cause) -> None:
        for check_id, outcomes in cause.shows.items():
            check = self.entries["checks"].get(check_id)
            if check is None:
                continue
            total = 0.0
            for outcome, word in outcomes.items():
                place = (*path, "shows", check_id, outcome)
                if outcome not in check.outcomes:
                    close = nearest(outcome, check.outcomes)
                    self.report(
                        place,
                        f"{outcome!r} is not an outcome of check {check_id!r}",
                        f"write {close!r}" if close else f"choose from {', '.join(check.outcomes)}",
                    )
                elif outcome == check.healthy:
                    self.report(
                        place,
                        f"{outcome!r} is what a sound boiler shows",
                        "take it out: what is left over goes there",
                    )
                if word in self.entries["words"]:
                    total += self.entries["words"][word].probability
            if total > 1 + 1e-9:
                self.report(
                    (*path, "shows", check_id),
                    f"the outcomes add up to {total:.2f}",
                    "choose rarer words; together they stay at or below 1",
                )

    def _check_only_after(self, path, action) -> None:
        for check_id, outcomes in action.only_after.items():
            check = self.entries["checks"].get(check_id)
            if check is None:
                continue
            if not outcomes:
                self.report(
                    (*path, check_id), "no outcome is named", "name those that let it go on"
                )
            for outcome in outcomes:
                if outcome not in check.outcomes:
                    self.report(
                        (*path, check_id),
                        f"{outcome!r} is not an outcome of check {check_id!r}",
                        f"choose from {', '.join(check.outcomes)}",
                    )

    def _check_waits(self, path, entry) -> None:
        for place, text in enumerate(entry.waits):
            seconds = self.gathering.quantity_text((*path, place), text, "duration")
            if seconds is not None and not SHORTEST <= seconds <= LONGEST:
                self.report(
                    (*path, place), f"nobody waits {text!r} beside a boiler", "write 5 s to 2 h"
                )

    def _check_closing(self, path, closing) -> None:
        if (closing.check is None) == (closing.confirm is None):
            self.report(
                path,
                "a closing step is filled by a check or by a confirmed sentence",
                "give either 'check' with 'passes', or 'confirm'",
            )
        check = self.entries["checks"].get(closing.check)
        if check and not closing.passes:
            self.report(path, "no outcome is named that passes", "add 'passes'")
        for outcome in closing.passes if check else ():
            if outcome not in check.outcomes:
                self.report(
                    (*path, "passes"),
                    f"{outcome!r} is not an outcome of check {closing.check!r}",
                    f"choose from {', '.join(check.outcomes)}",
                )

    def _check_access(self) -> None:
        access = self.entries["access"]
        order = nx.DiGraph(
            (("access", name), ("access", before))
            for name, entry in access.items()
            for before in entry.needs
            if before in access
        )
        order.add_nodes_from(("access", name) for name in access)
        try:
            circle = [edge[0][1] for edge in nx.find_cycle(order)]
        except nx.NetworkXNoCycle:
            pass
        else:
            self.report(
                ("access", circle[0], "needs"),
                f"the access order goes in a circle: {' -> '.join([*circle, circle[0]])}",
                "take one of these 'needs' out",
            )
            return
        reach = {name: graphs.opening_order(order, (name,)) for name in access}
        for kind in ("access", "checks", "actions"):
            for name, entry in self.entries[kind].items():
                named = (name,) if kind == "access" else entry.access
                layers = [n for state in named for n in reach.get(state, ())]
                clash = next(
                    (
                        (one, other)
                        for one, other in combinations(dict.fromkeys(layers), 2)
                        if access[one].excludes(access[other])
                    ),
                    None,
                )
                if clash:
                    self.report(
                        (kind, name, "needs" if kind == "access" else "access"),
                        f"{clash[0]!r} and {clash[1]!r} exclude each other",
                        "name only the state in which this is done",
                    )
                if kind == "access":
                    continue
                for layer in layers:
                    if schema.WHO.index(access[layer].who) > schema.WHO.index(entry.who):
                        self.report(
                            (kind, name, "who"),
                            f"{entry.who!r} may not open {layer!r}, which this step needs",
                            f"write {access[layer].who!r}",
                        )

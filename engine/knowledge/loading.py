"""From a folder of YAML to one frozen Knowledge, or to every reason why not.

The use-case layer hands in the table of named calculations, so that nothing here depends on the
physics; all that is asked of a calculation is its `inputs` and its `quantity`.
"""

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, pairwise
from pathlib import Path
from types import MappingProxyType
from typing import get_args

import networkx as nx
from pydantic import BaseModel, ValidationError

from engine import units
from engine.errors import Problem, SightportError, Unusable, nearest
from engine.knowledge import graph as graphs
from engine.knowledge import nodes, schema

MAX_FILES = 100


@dataclass(frozen=True, eq=False)
class Knowledge:
    """All that the trade knows, by kind and id, and the graph that joins it.

    Attributes
    ----------
    words, commonness, standing, shifts, sources, symptoms, contexts, facts, cautions, access, \
closing, checks, actions, causes : mapping of id to entry
    graph : networkx.DiGraph, frozen; see `engine.knowledge.graph`
    calculations : mapping of name to calculation, as handed to `load`
    places : mapping of (kind, id) to (file, line)
    version : str, the first 12 hex digits of a digest over all files
    """

    words: Mapping[str, schema.Word]
    commonness: Mapping[str, schema.Commonness]
    standing: Mapping[str, schema.Standing]
    shifts: Mapping[str, schema.Shift]
    sources: Mapping[str, schema.Source]
    symptoms: Mapping[str, schema.Symptom]
    contexts: Mapping[str, schema.Context]
    facts: Mapping[str, schema.Fact]
    cautions: Mapping[str, schema.Caution]
    access: Mapping[str, schema.Access]
    closing: Mapping[str, schema.Closing]
    checks: Mapping[str, schema.Check]
    actions: Mapping[str, schema.Action]
    causes: Mapping[str, schema.Cause]
    graph: nx.DiGraph
    calculations: Mapping[str, object]
    places: Mapping[tuple[str, str], tuple[str, int]]
    version: str

    def probability(self, word: str) -> float:
        """The probability that a likelihood word stands for."""
        return self.words[word].probability

    def fuels(self) -> tuple[str, ...]:
        """Ids of the fuels that the knowledge distinguishes."""
        return tuple(self.facts["fuel"].choices) if "fuel" in self.facts else ("natural_gas",)


def load(folder: Path, calculations: Mapping[str, object]) -> Knowledge:
    """Read, validate and join every YAML file under `folder`.

    Parameters
    ----------
    folder : Path
        Holds ``*.yaml`` files, each a mapping of kinds to entries by id.
    calculations : mapping of name to an object with `inputs` and `quantity`
        Named calculations that readings may use.

    Raises
    ------
    Unusable
        With every problem found, each with file, line and mend.
    """
    files = sorted(folder.rglob("*.yaml"))
    if not files:
        raise Unusable(
            [Problem(str(folder), 1, "no YAML file in this folder", "point at a knowledge folder")]
        )
    if len(files) > MAX_FILES:
        raise Unusable(
            [Problem(str(folder), 1, f"more than {MAX_FILES} files", "join small files")]
        )
    documents = [
        nodes.read(path, shown_as=f"{folder.name}/{path.relative_to(folder)}") for path in files
    ]
    gathering = _Gathering(calculations)
    for document in documents:
        gathering.add(document)
    gathering.check_all()
    if gathering.problems:
        raise Unusable(gathering.problems)
    digest = hashlib.sha256(b"\0".join(path.read_bytes() for path in files)).hexdigest()
    return Knowledge(
        **{kind: MappingProxyType(entries) for kind, entries in gathering.entries.items()},
        graph=graphs.build(gathering.entries),
        calculations=MappingProxyType(dict(calculations)),
        places=MappingProxyType(
            {key: (doc.file, doc.line(key)) for key, doc in gathering.origin.items()}
        ),
        version=digest[:12],
    )


class _Gathering:
    """Entries and problems while the files are being read."""

    def __init__(self, calculations):
        self.calculations = calculations
        self.entries: dict[str, dict[str, schema.Entry]] = {kind: {} for kind in schema.KINDS}
        self.origin: dict[tuple[str, str], nodes.Document] = {}
        self.written: dict[str, set[str]] = {kind: set() for kind in schema.KINDS}
        self.problems: list[Problem] = []

    def report(self, path: tuple, what: str, mend: str) -> None:
        document = self.origin[path[:2]]
        self.problems.append(Problem(document.file, document.line(path), what, mend))

    # ---------------------------------------------------------------- shape

    def add(self, document: nodes.Document) -> None:
        self.problems.extend(document.problems)
        if document.data is None:
            return
        if not isinstance(document.data, dict):
            self.problems.append(
                Problem(document.file, 1, "the file is not a mapping of kinds",
                        "begin with a kind such as 'causes:'")
            )  # fmt: skip
            return
        for kind, entries in document.data.items():
            line = document.line((kind,))
            if kind not in schema.KINDS:
                close = nearest(kind, schema.KINDS)
                self.problems.append(
                    Problem(document.file, line, f"unknown kind {kind!r}",
                            f"write {close!r}" if close else
                            f"allowed kinds: {', '.join(schema.KINDS)}")
                )  # fmt: skip
            elif not isinstance(entries, dict):
                self.problems.append(
                    Problem(document.file, line, f"{kind!r} holds no entries by id",
                            "write one id a line below it, each with its own keys")
                )  # fmt: skip
            else:
                for name, data in entries.items():
                    self._add_entry(document, kind, name, data)

    def _add_entry(self, document, kind, name, data) -> None:
        key = (kind, name)
        if key in self.origin:
            first = self.origin[key]
            self.problems.append(
                Problem(document.file, document.line(key),
                        f"{kind} {name!r} is defined twice "
                        f"(first in {first.file}:{first.line(key)})",
                        "keep one, or give this one an id of its own")
            )  # fmt: skip
            return
        self.origin[key] = document
        self.written[kind].add(name)
        if not _ID.match(name):
            self.report(key, f"id {name!r} is not in lower_snake",
                        "use a to z, digits and single underscores, a letter first")  # fmt: skip
        model = schema.KINDS[kind]
        try:
            self.entries[kind][name] = model.model_validate(data)
        except ValidationError as error:
            for part in error.errors():
                what, mend = in_words(part, model)
                self.report((*key, *part["loc"]), what, mend)

    # ---------------------------------------------------------------- ids

    def check_all(self) -> None:
        for kind, entries in self.entries.items():
            for name, entry in entries.items():
                for path, target, wanted in _references(kind, entry):
                    self._check_reference((kind, name, *path), target, wanted)
        for name, entry in self.entries["facts"].items():
            self._check_fact(("facts", name), entry)
        for name, entry in self.entries["checks"].items():
            self._check_outcomes(("checks", name), entry)
            if entry.reading:
                _Readings(self, name, entry).check()
        for name, entry in self.entries["causes"].items():
            self._check_shows(("causes", name), entry)
        for name, entry in self.entries["closing"].items():
            self._check_closing(("closing", name), entry)
        self._check_access()
        for kind in ("checks", "actions", "causes", "contexts", "closing"):
            for name, entry in self.entries[kind].items():
                self._check_only_if((kind, name), entry)

    def _check_reference(self, path, target, wanted) -> None:
        if wanted in self.written[target]:
            return
        close = nearest(wanted, self.written[target])
        singular = _SINGULAR[target]
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
                self.report((*path, "only_if", name), f"fact {name!r} is a number, not a choice",
                            "use a fact with choices")  # fmt: skip
                continue
            for choice in allowed:
                if choice not in fact.choices:
                    self.report((*path, "only_if", name),
                                f"{choice!r} is not a choice of fact {name!r}",
                                f"choose from {', '.join(fact.choices)}")  # fmt: skip

    # ---------------------------------------------------------------- meaning

    def _check_fact(self, path, fact) -> None:
        if (fact.choices is None) == (fact.quantity is None):
            self.report(path, "a fact is either a choice or a number",
                        "give either 'choices' or 'quantity' with 'unit'")  # fmt: skip
            return
        if fact.choices is not None:
            if fact.assumed and fact.assumed not in fact.choices:
                self.report((*path, "assumed"), f"{fact.assumed!r} is not one of the choices",
                            f"choose from {', '.join(fact.choices)}")  # fmt: skip
            return
        if fact.quantity not in units.QUANTITIES:
            self.report((*path, "quantity"), f"unknown quantity {fact.quantity!r}",
                        f"choose from {', '.join(units.QUANTITIES)}")  # fmt: skip
            return
        self.quantity_text((*path, "unit"), f"1 {fact.unit}", fact.quantity)
        if fact.typical:
            self.limit_values((*path, "typical"), fact.typical, fact.quantity)
        if fact.plausible:
            self.ascending((*path, "plausible"), fact.plausible, fact.quantity)

    def _check_outcomes(self, path, check) -> None:
        first, *others = check.outcomes
        if check.outcomes[first].in_sound_boiler:
            self.report((*path, "outcomes", first, "in_sound_boiler"),
                        "the first outcome is the healthy one and takes what the others leave",
                        "take 'in_sound_boiler' out here")  # fmt: skip
        total = 0.0
        for name in others:
            word = check.outcomes[name].in_sound_boiler
            if word is None:
                self.report((*path, "outcomes", name),
                            f"outcome {name!r} does not say how often a sound boiler shows it",
                            "add 'in_sound_boiler' with a likelihood word")  # fmt: skip
            elif word in self.entries["words"]:
                total += self.entries["words"][word].probability
        if total >= 1:
            self.report((*path, "outcomes"), f"the faulty outcomes add up to {total:.2f}",
                        "choose rarer words; they must stay below 1")  # fmt: skip

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
                    self.report(place, f"{outcome!r} is not an outcome of check {check_id!r}",
                                f"write {close!r}" if close else
                                f"choose from {', '.join(check.outcomes)}")  # fmt: skip
                elif outcome == check.healthy:
                    self.report(place, f"{outcome!r} is what a sound boiler shows",
                                "take it out: what is left over goes there")  # fmt: skip
                if word in self.entries["words"]:
                    total += self.entries["words"][word].probability
            if total > 1 + 1e-9:
                self.report((*path, "shows", check_id),
                            f"the outcomes add up to {total:.2f}",
                            "choose rarer words; together they stay at or below 1")  # fmt: skip

    def _check_closing(self, path, closing) -> None:
        if (closing.check is None) == (closing.confirm is None):
            self.report(path, "a closing step is filled by a check or by a confirmed sentence",
                        "give either 'check' with 'passes', or 'confirm'")  # fmt: skip
        check = self.entries["checks"].get(closing.check)
        if check and not closing.passes:
            self.report(path, "no outcome is named that passes", "add 'passes'")
        for outcome in closing.passes if check else ():
            if outcome not in check.outcomes:
                self.report((*path, "passes"),
                            f"{outcome!r} is not an outcome of check {closing.check!r}",
                            f"choose from {', '.join(check.outcomes)}")  # fmt: skip

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
            self.report(("access", circle[0], "needs"),
                        f"the access order goes in a circle: {' -> '.join([*circle, circle[0]])}",
                        "take one of these 'needs' out")  # fmt: skip
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
                    self.report((kind, name, "needs" if kind == "access" else "access"),
                                f"{clash[0]!r} and {clash[1]!r} exclude each other",
                                "name only the state in which this is done")  # fmt: skip
                if kind == "access":
                    continue
                for layer in layers:
                    if schema.WHO.index(access[layer].who) > schema.WHO.index(entry.who):
                        self.report((kind, name, "who"),
                                    f"{entry.who!r} may not open {layer!r}, which this step needs",
                                    f"write {access[layer].who!r}")  # fmt: skip

    # ---------------------------------------------------------------- quantities

    def quantity_text(self, path, text, quantity) -> float | None:
        try:
            return units.parse(text, quantity)
        except SightportError as error:
            self.report(path, str(error), f"write a value with unit, as a {quantity}")
            return None

    def ascending(self, path, pair, quantity) -> None:
        low, high = (self.quantity_text(path, text, quantity) for text in pair)
        if low is not None and high is not None and not low < high:
            self.report(path, f"{pair[0]!r} is not below {pair[1]!r}", "write the lower one first")

    def limit_values(self, path, limit, quantity) -> dict[str, float] | None:
        """The limit for each fuel, typical values standing in; None where it cannot be told."""
        given = [limit.value, limit.by_fuel, limit.fact]
        if sum(part is not None for part in given) != 1:
            self.report(path, "a limit is one value, values by fuel, or one fact",
                        "write one of: '10 mbar', {by_fuel: {...}}, {fact: ...}")  # fmt: skip
            return None
        fuel_fact = self.entries["facts"].get("fuel")
        fuels = tuple(fuel_fact.choices) if fuel_fact and fuel_fact.choices else ("natural_gas",)
        if limit.value is not None:
            value = self.quantity_text(path, limit.value, quantity)
            return None if value is None else dict.fromkeys(fuels, value)
        if limit.by_fuel is not None:
            if set(limit.by_fuel) != set(fuels):
                self.report(path, "the limit is not given for each fuel",
                            f"give {', '.join(fuels)}")  # fmt: skip
                return None
            values = {
                fuel: self.quantity_text(path, text, quantity)
                for fuel, text in limit.by_fuel.items()
            }
            return None if None in values.values() else values
        fact = self.entries["facts"].get(limit.fact)
        if fact is None:
            return None
        if fact.quantity != quantity:
            self.report(path, f"fact {limit.fact!r} is a {fact.quantity}, not a {quantity}",
                        "use a fact of the same quantity")  # fmt: skip
            return None
        if fact.typical is None:
            self.report(path, f"fact {limit.fact!r} has no typical value to stand in",
                        "add 'typical' to the fact")  # fmt: skip
            return None
        if fact.typical.fact is not None:
            self.report(path, "a typical value cannot point at a fact", "write the value")
            return None
        return self.limit_values(path, fact.typical, quantity)


class _Readings:
    """The rules for one check's reading: figures that can be worked out, bands that touch."""

    def __init__(self, gathering: _Gathering, name: str, check: schema.Check):
        self.gathering = gathering
        self.path = ("checks", name, "reading")
        self.name = name
        self.check_entry = check
        self.reading = check.reading

    def report(self, path, what, mend):
        self.gathering.report((*self.path, *path), what, mend)

    def check(self) -> None:
        for name, field in self.reading.fields.items():
            self._check_field(("fields", name), field)
        quantities = set()
        for position, figure in enumerate(self.reading.figure):
            quantities.add(self._check_figure(("figure", position), figure))
        for position, figure in enumerate(self.reading.reports):
            self._check_figure(("reports", position), figure)
        quantities.discard(None)
        if len(quantities) > 1:
            self.report(("figure",), f"the figures differ in quantity: {sorted(quantities)}",
                        "band one quantity only")  # fmt: skip
        elif quantities:
            self._check_bands(quantities.pop())
        for position, slip in enumerate(self.reading.slips):
            self._check_slip(("slips", position), slip)

    def _check_field(self, path, field) -> None:
        here = (*self.path, *path)
        if field.quantity not in units.QUANTITIES:
            close = nearest(field.quantity, units.QUANTITIES)
            self.report((*path, "quantity"), f"unknown quantity {field.quantity!r}",
                        f"write {close!r}" if close else
                        f"choose from {', '.join(units.QUANTITIES)}")  # fmt: skip
            return
        self.gathering.quantity_text((*here, "unit"), f"1 {field.unit}", field.quantity)
        self.gathering.ascending((*here, "plausible"), field.plausible, field.quantity)
        if not (field.accuracy.of_reading or field.accuracy.at_least):
            self.report((*path, "accuracy"), "no accuracy is given",
                        "add 'of_reading' or 'at_least'")  # fmt: skip
        if field.accuracy.of_reading:
            self.gathering.quantity_text(
                (*here, "accuracy", "of_reading"), field.accuracy.of_reading, "dry_fraction"
            )
        if field.accuracy.at_least:
            self.gathering.quantity_text(
                (*here, "accuracy", "at_least"),
                field.accuracy.at_least,
                units.difference_of(field.quantity),
            )

    def _check_figure(self, path, figure) -> str | None:
        """Report what is wrong with a figure; its quantity, or None."""
        if (figure.field is None) == (figure.calculation is None):
            self.report(path, "a figure is a field or a calculation",
                        "give either 'field' or 'calculation'")  # fmt: skip
            return None
        if figure.field is not None:
            if figure.field not in self.reading.fields:
                self.report((*path, "field"), f"{figure.field!r} is not a field of this reading",
                            f"choose from {', '.join(self.reading.fields)}")  # fmt: skip
                return None
            return self.reading.fields[figure.field].quantity
        calculation = self.gathering.calculations.get(figure.calculation)
        if calculation is None:
            close = nearest(figure.calculation, self.gathering.calculations)
            self.report((*path, "calculation"), f"unknown calculation {figure.calculation!r}",
                        f"write {close!r}" if close else "use one that the engine knows: "
                        f"{', '.join(self.gathering.calculations)}")  # fmt: skip
            return None
        if set(figure.inputs) != set(calculation.inputs):
            self.report((*path, "inputs"),
                        f"{figure.calculation!r} is given {sorted(figure.inputs)}",
                        f"give {sorted(calculation.inputs)}")  # fmt: skip
            return calculation.quantity
        for parameter, origin in figure.inputs.items():
            self._check_input((*path, "inputs", parameter), origin, calculation.inputs[parameter])
        if figure.unit:
            self.gathering.quantity_text(
                (*self.path, *path, "unit"), f"1 {figure.unit}", calculation.quantity
            )
        return calculation.quantity

    def _check_input(self, path, origin, wanted) -> None:
        holder, dot, name = origin.partition(".")
        checks, facts = self.gathering.entries["checks"], self.gathering.entries["facts"]
        if holder == "fact" and dot:
            fact = facts.get(name)
            got = None if fact is None else ("fuel" if name == "fuel" else fact.quantity)
        elif holder == "this" and dot:
            field = self.reading.fields.get(name)
            got = field and field.quantity
        elif dot and holder in self.gathering.written["checks"]:
            other = checks.get(holder)
            field = other.reading.fields.get(name) if other and other.reading else None
            got = field and field.quantity
        else:
            self.gathering.quantity_text((*self.path, *path), origin, wanted)
            return
        if got != wanted:
            self.report(path, f"{origin!r} is {'not known' if got is None else f'a {got}'}, "
                        f"a {wanted} is needed",
                        "write this.FIELD, CHECK.FIELD, fact.NAME or a value")  # fmt: skip

    def _check_bands(self, quantity) -> None:
        bands = self.reading.bands
        for position, band in enumerate(bands):
            if band.outcome not in self.check_entry.outcomes:
                close = nearest(band.outcome, self.check_entry.outcomes)
                self.report(("bands", position, "outcome"),
                            f"{band.outcome!r} is not an outcome of this check",
                            f"write {close!r}" if close else "add the outcome")  # fmt: skip
        missing = set(self.check_entry.outcomes) - {band.outcome for band in bands}
        for outcome in sorted(missing):
            self.report(("bands",), f"no band leads to outcome {outcome!r}",
                        "add its band, or take the outcome out")  # fmt: skip
        if bands[0].start is not None:
            self.report(("bands", 0), "the first band leaves a gap below it",
                        "take its 'from' out: it reaches down without end")  # fmt: skip
        if bands[-1].below is not None:
            self.report(("bands", len(bands) - 1), "the last band leaves a gap above it",
                        "take its 'below' out: it reaches up without end")  # fmt: skip
        edges = []
        for position, (lower, upper) in enumerate(pairwise(bands)):
            if lower.below is None or upper.start is None or lower.below != upper.start:
                self.report(("bands", position + 1),
                            f"a gap or an overlap between {lower.outcome!r} and {upper.outcome!r}",
                            "write the same limit as 'below' of the one and 'from' of the next")  # fmt: skip
            elif lower.below:
                values = self.gathering.limit_values(
                    (*self.path, "bands", position, "below"), lower.below, quantity
                )
                edges.append((position, values))
        for (_, low), (position, high) in pairwise(edges):
            if low and high and any(low[fuel] >= high[fuel] for fuel in low):
                self.report(("bands", position), "the bands do not ascend for every fuel",
                            "order them from low to high; check the typical values")  # fmt: skip

    def _check_slip(self, path, slip) -> None:
        field = self.reading.fields.get(slip.field)
        if field is None:
            self.report((*path, "field"), f"{slip.field!r} is not a field of this reading",
                        f"choose from {', '.join(self.reading.fields)}")  # fmt: skip
            return
        if slip.start is None and slip.below is None:
            self.report(path, "no values are named", "add 'from', 'below' or both")
        for key, limit in (("from", slip.start), ("below", slip.below)):
            if limit is not None:
                self.gathering.limit_values((*self.path, *path, key), limit, field.quantity)


def _references(kind: str, entry: schema.Entry) -> Iterator[tuple[tuple, str, str]]:
    """Every (path inside the entry, kind referred to, id) that an entry names."""
    if hasattr(entry, "source"):
        yield from ((("source",), "sources", name) for name in entry.source)
    for key in ("cautions", "closing"):
        yield from (
            ((key, i), key, name) for i, name in enumerate(getattr(entry, key, ()))
        )
    if kind in ("checks", "actions"):
        for key in ("access", "shut"):
            yield from (((key, i), "access", name) for i, name in enumerate(getattr(entry, key)))
    if hasattr(entry, "only_if"):
        yield from ((("only_if", name), "facts", name) for name in entry.only_if)
    match entry:
        case schema.Symptom():
            yield ("share",), "commonness", entry.share
            yield from ((("prevents", i), "access", n) for i, n in enumerate(entry.prevents))
        case schema.Context():
            for cause, word in entry.shifts.items():
                yield ("shifts", cause), "causes", cause
                yield ("shifts", cause), "shifts", word
        case schema.Access():
            yield from ((("needs", i), "access", n) for i, n in enumerate(entry.needs))
        case schema.Closing(check=str(check)):
            yield ("check",), "checks", check
        case schema.Check():
            for name, outcome in entry.outcomes.items():
                if outcome.in_sound_boiler:
                    yield (("outcomes", name, "in_sound_boiler"), "words", outcome.in_sound_boiler)
                yield from (
                    (("outcomes", name, "prevents", i), "access", state)
                    for i, state in enumerate(outcome.prevents)
                )
            yield from ((("reliability", w), "words", n) for w, n in entry.reliability.items())
            if entry.reading:
                path = ("reading",)
                yield from (
                    ((*path, "band_source"), "sources", n) for n in entry.reading.band_source
                )
                for name, field in entry.reading.fields.items():
                    yield from (
                        ((*path, "fields", name, "source"), "sources", n) for n in field.source
                    )
                for i, band in enumerate(entry.reading.bands):
                    for key, limit in (("from", band.start), ("below", band.below)):
                        if limit and limit.fact:
                            yield (*path, "bands", i, key), "facts", limit.fact
        case schema.Action():
            yield from ((("verify", i), "closing", n) for i, n in enumerate(entry.verify))
        case schema.Cause():
            yield ("standing",), "standing", entry.standing
            for symptom, word in entry.seen_with.items():
                yield ("seen_with", symptom), "symptoms", symptom
                yield ("seen_with", symptom), "commonness", word
            for check, outcomes in entry.shows.items():
                yield ("shows", check), "checks", check
                for outcome, word in outcomes.items():
                    yield ("shows", check, outcome), "words", word
            for action, word in entry.mended_by.items():
                yield ("mended_by", action), "actions", action
                yield ("mended_by", action), "words", word
            for cause, word in entry.promotes.items():
                yield ("promotes", cause), "causes", cause
                yield ("promotes", cause), "shifts", word


_ID = re.compile(r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$")

_SINGULAR = {
    "words": "likelihood word", "commonness": "commonness word", "standing": "standing word",
    "shifts": "shift word", "sources": "source", "symptoms": "symptom", "contexts": "context",
    "facts": "fact", "cautions": "caution", "access": "access state", "closing": "closing step",
    "checks": "check", "actions": "action", "causes": "cause",
}  # fmt: skip


def in_words(error: dict, model: type[BaseModel]) -> tuple[str, str]:
    """A pydantic error as what is wrong and how to mend it."""
    key = error["loc"][-1] if error["loc"] else ""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "missing":
        return f"key {key!r} is missing", f"add {key!r} here"
    if kind == "extra_forbidden":
        allowed = _keys_at(model, error["loc"][:-1])
        close = nearest(str(key), allowed)
        return (
            f"unknown key {key!r}",
            (f"write {close!r}; " if close else "") + f"allowed keys: {', '.join(allowed)}",
        )
    if kind == "literal_error":
        return f"{error['input']!r} is not allowed as {key!r}", f"choose {context['expected']}"
    if kind == "string_pattern_mismatch":
        return (
            f"{error['input']!r} is not an id",
            "use a to z, digits and single underscores, a letter first",
        )
    if kind in ("tuple_type", "dict_type", "model_type"):
        shape = "a list" if kind == "tuple_type" else "a mapping of keys"
        return f"{key!r} is {_shape(error['input'])}, {shape} is needed", f"write {shape}"
    if kind == "string_type":
        return f"{key!r} is {_shape(error['input'])}, text is needed", "write one line of text"
    return f"{key!r}: {error['msg'].lower()} (got {str(error['input'])[:60]!r})", "correct it"


def _shape(value) -> str:
    return {dict: "a mapping", list: "a list", str: "text"}.get(type(value), "missing")


def _keys_at(model, path) -> list[str]:
    """The keys allowed where `path` leads inside a model."""
    for step in path:
        if isinstance(model, type) and issubclass(model, BaseModel):
            by_key = {f.alias or name: f.annotation for name, f in model.model_fields.items()}
            model = _unwrap(by_key.get(step))
        else:
            model = _unwrap(model)
    if not (isinstance(model, type) and issubclass(model, BaseModel)):
        return []
    return [field.alias or name for name, field in model.model_fields.items()]


def _unwrap(annotation):
    """The model inside Optional, Annotated, tuple and dict annotations."""
    while not isinstance(annotation, type):
        inner = [part for part in get_args(annotation) if part not in (type(None), Ellipsis)]
        models = [p for p in inner if get_args(p) or (isinstance(p, type) and p is not str)]
        if not models:
            return annotation
        annotation = models[-1] if annotation.__class__.__name__ != "_AnnotatedAlias" else inner[0]
    return annotation

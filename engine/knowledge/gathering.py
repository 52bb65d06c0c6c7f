"""Entries and problems while the files are being read: what the rules work on."""

import re

from pydantic import ValidationError

from engine import units
from engine.errors import Problem, SightportError, nearest
from engine.knowledge import nodes, schema
from engine.knowledge.wording import in_words

_ID = re.compile(r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$")


class Gathering:
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
                Problem(
                    document.file,
                    1,
                    "the file is not a mapping of kinds",
                    "begin with a kind such as 'causes:'",
                )
            )
            return
        for kind, entries in document.data.items():
            line = document.line((kind,))
            if kind not in schema.KINDS:
                close = nearest(kind, schema.KINDS)
                self.problems.append(
                    Problem(
                        document.file,
                        line,
                        f"unknown kind {kind!r}",
                        f"write {close!r}"
                        if close
                        else f"allowed kinds: {', '.join(schema.KINDS)}",
                    )
                )
            elif not isinstance(entries, dict):
                self.problems.append(
                    Problem(
                        document.file,
                        line,
                        f"{kind!r} holds no entries by id",
                        "write one id a line below it, each with its own keys",
                    )
                )
            else:
                for name, data in entries.items():
                    self._add_entry(document, kind, name, data)

    def _add_entry(self, document, kind, name, data) -> None:
        key = (kind, name)
        if key in self.origin:
            first = self.origin[key]
            self.problems.append(
                Problem(
                    document.file,
                    document.line(key),
                    f"{kind} {name!r} is defined twice (first in {first.file}:{first.line(key)})",
                    "keep one, or give this one an id of its own",
                )
            )
            return
        self.origin[key] = document
        self.written[kind].add(name)
        if not _ID.match(name):
            self.report(
                key,
                f"id {name!r} is not in lower_snake",
                "use a to z, digits and single underscores, a letter first",
            )
        model = schema.KINDS[kind]
        try:
            self.entries[kind][name] = model.model_validate(data)
        except ValidationError as error:
            for part in error.errors():
                what, mend = in_words(part, model)
                self.report((*key, *part["loc"]), what, mend)
            rest = _as_if_mended(model, data, error.errors())
            if rest is not None:  # so that what else is wrong with it is told at once
                self.entries[kind][name] = rest

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
            self.report(
                path,
                "a limit is one value, values by fuel, or one fact",
                "write one of: '10 mbar', {by_fuel: {...}}, {fact: ...}",
            )
            return None
        fuel_fact = self.entries["facts"].get("fuel")
        fuels = tuple(fuel_fact.choices) if fuel_fact and fuel_fact.choices else ("natural_gas",)
        if limit.value is not None:
            value = self.quantity_text(path, limit.value, quantity)
            return None if value is None else dict.fromkeys(fuels, value)
        if limit.by_fuel is not None:
            if set(limit.by_fuel) != set(fuels):
                self.report(
                    path, "the limit is not given for each fuel", f"give {', '.join(fuels)}"
                )
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
            self.report(
                path,
                f"fact {limit.fact!r} is a {fact.quantity}, not a {quantity}",
                "use a fact of the same quantity",
            )
            return None
        if fact.typical is None:
            self.report(
                path,
                f"fact {limit.fact!r} has no typical value to stand in",
                "add 'typical' to the fact",
            )
            return None
        if fact.typical.fact is not None:
            self.report(path, "a typical value cannot point at a fact", "write the value")
            return None
        return self.limit_values(path, fact.typical, quantity)


def _as_if_mended(model, data, errors):
    """The entry without its misshapen parts, for the rules that follow; None if nothing is left."""
    if not isinstance(data, dict):
        return None
    mended = dict(data)
    for error in errors:
        key = error["loc"][0] if error["loc"] else None
        if error["type"] == "literal_error" and len(error["loc"]) == 1:
            mended[key] = re.findall(r"'([^']+)'", error["ctx"]["expected"])[0]
        else:
            mended.pop(key, None)
    try:
        return model.model_validate(mended)
    except ValidationError:
        return None

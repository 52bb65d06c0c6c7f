"""The rules for readings: figures that can be worked out, bands that touch and ascend."""

from itertools import pairwise

from engine import units
from engine.errors import nearest
from engine.knowledge import schema
from engine.knowledge.gathering import Gathering
from engine.knowledge.reading import OR, SPREAD


class ReadingRules:
    """The rules for one check's reading: figures that can be worked out, bands that touch."""

    def __init__(self, gathering: Gathering, name: str, check: schema.Check):
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
            self._check_only(("figure", position, "only"), figure.only)
        for position, figure in enumerate(self.reading.reports):
            self._check_figure(("reports", position), figure)
        quantities.discard(None)
        if len(quantities) > 1:
            self.report(
                ("figure",),
                f"the figures differ in quantity: {sorted(quantities)}",
                "band one quantity only",
            )
        elif quantities:
            self._check_bands(quantities.pop())
        for position, slip in enumerate(self.reading.slips):
            self._check_slip(("slips", position), slip)

    def _check_field(self, path, field) -> None:
        here = (*self.path, *path)
        if field.quantity not in units.QUANTITIES:
            close = nearest(field.quantity, units.QUANTITIES)
            self.report(
                (*path, "quantity"),
                f"unknown quantity {field.quantity!r}",
                f"write {close!r}" if close else f"choose from {', '.join(units.QUANTITIES)}",
            )
            return
        self.gathering.quantity_text((*here, "unit"), f"1 {field.unit}", field.quantity)
        self.gathering.ascending((*here, "plausible"), field.plausible, field.quantity)
        instrument = self.gathering.entries["instruments"].get(field.instrument)
        if instrument and instrument.quantity != field.quantity:
            self.report(
                (*path, "instrument"),
                f"instrument {field.instrument!r} reads a {instrument.quantity}, "
                f"not a {field.quantity}",
                "name an instrument of the same quantity",
            )

    def _check_figure(self, path, figure) -> str | None:
        """Report what is wrong with a figure; its quantity, or None."""
        if (figure.field is None) == (figure.calculation is None):
            self.report(
                path, "a figure is a field or a calculation", "give either 'field' or 'calculation'"
            )
            return None
        if figure.field is not None:
            if figure.field not in self.reading.fields:
                self.report(
                    (*path, "field"),
                    f"{figure.field!r} is not a field of this reading",
                    f"choose from {', '.join(self.reading.fields)}",
                )
                return None
            return self.reading.fields[figure.field].quantity
        calculation = self.gathering.calculations.get(figure.calculation)
        if calculation is None:
            close = nearest(figure.calculation, self.gathering.calculations)
            self.report(
                (*path, "calculation"),
                f"unknown calculation {figure.calculation!r}",
                f"write {close!r}"
                if close
                else f"use one that the engine knows: {', '.join(self.gathering.calculations)}",
            )
            return None
        given = set(figure.inputs)
        if not calculation.needed <= given <= set(calculation.inputs):
            optional = sorted(set(calculation.inputs) - calculation.needed)
            self.report(
                (*path, "inputs"),
                f"{figure.calculation!r} is given {sorted(figure.inputs)}",
                f"give {sorted(calculation.needed)}"
                + (f", and any of {optional}" if optional else ""),
            )
            return calculation.quantity
        for parameter, origin in figure.inputs.items():
            self._check_input((*path, "inputs", parameter), origin, calculation.inputs[parameter])
        if figure.unit:
            self.gathering.quantity_text(
                (*self.path, *path, "unit"), f"1 {figure.unit}", calculation.quantity
            )
        return calculation.quantity

    def _check_only(self, path, outcomes) -> None:
        for position, name in enumerate(outcomes):
            if name not in self.check_entry.outcomes:
                close = nearest(name, self.check_entry.outcomes)
                self.report(
                    (*path, position),
                    f"{name!r} is not an outcome of this check",
                    f"write {close!r}" if close else "name one of its outcomes",
                )

    def _check_input(self, path, origin, wanted) -> None:
        origin, either, instead = origin.partition(OR)
        if either:
            self._check_assumed(path, instead, wanted)
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
            self._check_assumed(path, origin, wanted)
            return
        if got != wanted:
            self.report(
                path,
                f"{origin!r} is {'not known' if got is None else f'a {got}'}, a {wanted} is needed",
                "write this.FIELD, CHECK.FIELD, fact.NAME or a value",
            )

    def _check_assumed(self, path, text, wanted) -> None:
        value, either, off = text.partition(SPREAD)
        here = (*self.path, *path)
        self.gathering.quantity_text(here, value, wanted)
        if either:
            spread = self.gathering.quantity_text(here, off, units.difference_of(wanted))
            if spread is not None and spread <= 0:
                self.report(path, f"a spread of {off.strip()!r} is none", "write it above zero")

    def _check_bands(self, quantity) -> None:
        bands = self.reading.bands
        for position, band in enumerate(bands):
            if band.outcome not in self.check_entry.outcomes:
                close = nearest(band.outcome, self.check_entry.outcomes)
                self.report(
                    ("bands", position, "outcome"),
                    f"{band.outcome!r} is not an outcome of this check",
                    f"write {close!r}" if close else "add the outcome",
                )
        missing = set(self.check_entry.outcomes) - {band.outcome for band in bands}
        for outcome in sorted(missing):
            self.report(
                ("bands",),
                f"no band leads to outcome {outcome!r}",
                "add its band, or take the outcome out",
            )
        if bands[0].start is not None:
            self.report(
                ("bands", 0),
                "the first band leaves a gap below it",
                "take its 'from' out: it reaches down without end",
            )
        if bands[-1].below is not None:
            self.report(
                ("bands", len(bands) - 1),
                "the last band leaves a gap above it",
                "take its 'below' out: it reaches up without end",
            )
        edges = []
        for position, (lower, upper) in enumerate(pairwise(bands)):
            if lower.below is None or upper.start is None or lower.below != upper.start:
                self.report(
                    ("bands", position + 1),
                    f"a gap or an overlap between {lower.outcome!r} and {upper.outcome!r}",
                    "write the same limit as 'below' of the one and 'from' of the next",
                )
            elif lower.below:
                values = self.gathering.limit_values(
                    (*self.path, "bands", position, "below"), lower.below, quantity
                )
                edges.append((position, values))
        for (_, low), (position, high) in pairwise(edges):
            if low and high and any(low[fuel] >= high[fuel] for fuel in low):
                self.report(
                    ("bands", position),
                    "the bands do not ascend for every fuel",
                    "order them from low to high; check the typical values",
                )

    def _check_slip(self, path, slip) -> None:
        field = self.reading.fields.get(slip.field)
        if field is None:
            self.report(
                (*path, "field"),
                f"{slip.field!r} is not a field of this reading",
                f"choose from {', '.join(self.reading.fields)}",
            )
            return
        if slip.unless is not None and slip.unless not in self.reading.fields:
            self.report(
                (*path, "unless"),
                f"{slip.unless!r} is not a field of this reading",
                f"choose from {', '.join(self.reading.fields)}",
            )
        if slip.start is None and slip.below is None:
            self.report(path, "no values are named", "add 'from', 'below' or both")
        for key, limit in (("from", slip.start), ("below", slip.below)):
            if limit is not None:
                self.gathering.limit_values((*self.path, *path, key), limit, field.quantity)

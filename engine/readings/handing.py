"""Which checks of a visit the values of a sheet answer."""

from collections.abc import Mapping
from dataclasses import dataclass

from engine.knowledge import Knowledge
from engine.readings.answer import rate_of, sheet_named
from engine.readings.sheets import SHEETS


@dataclass(frozen=True)
class Handed:
    """Values for one check of a visit, as typed."""

    check: str
    name: str
    values: Mapping[str, str]


def for_visit(
    knowledge: Knowledge, sheet: str, typed: Mapping[str, str], rate: str = ""
) -> tuple[Handed, ...]:
    """The checks that the values of a sheet answer, with the values; assumed ones are left out.

    A field that a check insists on and the sheet does not hold leaves the check out.
    """
    page = sheet_named(sheet)
    rate = rate_of(page, rate)
    by_check: dict[str, dict[str, str]] = {}
    for entry in page.entries:
        text = "" if entry.name in page.left_out(typed) else typed.get(entry.name, "").strip()
        for check, field in entry.fed(rate):
            if text:
                by_check.setdefault(check, {})[field] = text
    return tuple(
        Handed(check, knowledge.checks[check].name, values)
        for check, values in by_check.items()
        if all(
            name in values or field.optional
            for name, field in knowledge.checks[check].reading.fields.items()
        )
    )


def print_out_of(check: str) -> tuple[str, str] | None:
    """The sheet whose print-out holds what a check reads, and the rate; None where there is none.

    Examples
    --------
    >>> print_out_of("co_low_fire")
    ('flue_gas', 'low')
    >>> print_out_of("flame_current") is None
    True
    """
    return next(
        (
            (name, rate)
            for name, page in SHEETS.items()
            if page.print_out
            for rate in page.rates or ("",)
            for entry in page.entries
            if check in (fed for fed, _ in entry.fed(rate))
        ),
        None,
    )

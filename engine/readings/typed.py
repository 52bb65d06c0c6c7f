"""A sheet on one line: entries of the sheet and facts of the boiler as ``name=value``."""

from collections.abc import Iterable

from engine.errors import UnreadableValue, nearest
from engine.knowledge import Knowledge
from engine.knowledge.facts import fact_from_text
from engine.readings.answer import answer, sheet_named
from engine.readings.report import Report


def report(
    knowledge: Knowledge, sheet: str, pairs: Iterable[str], fuel: str = "", rate: str = ""
) -> Report:
    """The report on entries and facts given as text.

    Raises
    ------
    UnreadableValue
        If a pair is neither an entry of the sheet nor a fact, or a fact cannot be read.
    """
    page = sheet_named(sheet)
    typed, facts = {}, {}
    for pair in pairs:
        name, sign, value = (part.strip() for part in pair.partition("="))
        if not sign:
            raise UnreadableValue(f"{pair!r} has no value; write it as {name}=VALUE with a unit")
        if page.entry(name):
            typed[name] = value
        elif name in knowledge.facts:
            facts[name] = fact_from_text(knowledge, name, value)
        else:
            known = [*(entry.name for entry in page.entries), *knowledge.facts]
            close = nearest(name, known)
            raise UnreadableValue(
                f"{name!r} is neither an entry of sheet {sheet!r} nor a fact; "
                + (f"write {close!r}" if close else f"see 'readings {sheet}'")
            )
    return answer(knowledge, sheet, typed, facts, fuel=fuel, rate=rate)

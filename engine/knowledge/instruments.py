"""Instruments: how far a reading may be off, typical of the class or as its owner states it."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from engine import units
from engine.errors import UnreadableValue, nearest
from engine.knowledge import schema
from engine.knowledge.accuracy import in_numbers
from engine.knowledge.loading import Knowledge
from engine.knowledge.reading import ReadingField

ACCURACY_IS_SIGMAS = 2.0
"""Standard deviations in an instrument's stated accuracy. Judgement: makers seldom say."""

Stated = schema.Accuracy
"""The accuracy of an instrument, as its owner states it."""

NONE_STATED: Mapping[str, Stated] = MappingProxyType({})
"""Every instrument is typical of its class."""


def deviation(
    knowledge: Knowledge, stated: Mapping[str, Stated], instrument: str, value: float
) -> float:
    """One standard deviation of a reading.

    Parameters
    ----------
    stated : mapping of instrument to accuracy
        Where the owner knows his own; the others are typical of their class.
    instrument : str
        Id of a class of instruments [-].
    value : float
        The reading, in SI.

    Returns
    -------
    float
        The larger of the share of the reading and the least figure, halved [SI].
    """
    quantity = knowledge.instruments[instrument].quantity
    share, least = in_numbers(accuracy_of(knowledge, stated, instrument), quantity)
    return max(share * _size(value, quantity), least) / ACCURACY_IS_SIGMAS


def typical_deviation(knowledge: Knowledge, fact: str, value: float | None) -> float:
    """One standard deviation of a typical figure of the boiler; 0 where none is written."""
    share = knowledge.facts[fact].spread
    if value is None or not share:
        return 0.0
    return abs(value) * units.parse(share, "share_of_reading") / ACCURACY_IS_SIGMAS


def _size(value, quantity) -> float:
    """What a share of the reading is a share of: a thermometer shows no kelvin."""
    if quantity == "temperature":
        return abs(units.number_in(value, quantity, "degC"))
    return abs(value)


def accuracy_of(
    knowledge: Knowledge, stated: Mapping[str, Stated], instrument: str
) -> schema.Accuracy:
    """The accuracy that counts: the stated one, else that of the class."""
    return stated.get(instrument) or knowledge.instruments[instrument].accuracy


def fields_read_with(knowledge: Knowledge, instrument: str) -> Iterator[ReadingField]:
    """The values of all checks that are read with an instrument."""
    for check in knowledge.checks.values():
        for field in check.reading.fields.values() if check.reading else ():
            if field.instrument == instrument:
                yield field


def own_accuracy(
    knowledge: Knowledge, instrument: str, of_reading: str, at_least: str
) -> Stated | None:
    """The accuracy of somebody's own instrument as typed; None where nothing is stated.

    Raises
    ------
    UnreadableValue
        If there is no such instrument, or no instrument of that accuracy.
    """
    if instrument not in knowledge.instruments:
        close = nearest(instrument, knowledge.instruments)
        raise UnreadableValue(
            f"there is no instrument {instrument!r}; "
            + (f"write {close!r}" if close else "see 'list instruments'")
        )
    if max(len(of_reading), len(at_least)) > units.LONGEST:
        raise UnreadableValue(
            f"that is longer than {units.LONGEST} characters; write number and unit, such as '3 %'"
        )
    stated = Stated(of_reading=of_reading.strip() or None, at_least=at_least.strip() or None)
    if not stated.of_reading and not stated.at_least:
        return None
    quantity = knowledge.instruments[instrument].quantity
    _, least = in_numbers(stated, quantity)
    for field in fields_read_with(knowledge, instrument):
        low, high = (units.parse(text, quantity) for text in field.plausible)
        if least > (high - low) / 2:
            raise UnreadableValue(
                f"with an accuracy of {stated.at_least!r} nothing is left of '{field.name}', which "
                f"lies between {field.plausible[0]} and {field.plausible[1]}; check the unit and "
                "the decimal point"
            )
    return stated

"""How far an instrument may be off, as it is printed: a share of the reading, or a least figure.

The same rules hold for a class of instruments in the files and for what a person states of his own.
"""

from functools import lru_cache

from engine import units
from engine.errors import UnreadableValue
from engine.knowledge import schema

MOST = 0.5
"""Largest share of a reading that is believed of an instrument. Judgement."""


@lru_cache(maxsize=256)  # every look at a visit asks for the same few
def in_numbers(accuracy: schema.Accuracy, quantity: str) -> tuple[float, float]:
    """The share of the reading, and the least figure in SI; 0 for the one that is not given.

    Raises
    ------
    UnreadableValue
        If one of them cannot be read as what it is, is negative or absurd, or neither says more
        than that the instrument is exact.

    Examples
    --------
    >>> in_numbers(schema.Accuracy(of_reading="5 %", at_least="10 ppm"), "dry_fraction")
    (0.05, 1e-05)
    """
    share = least = 0.0
    if accuracy.of_reading:
        share = units.parse(accuracy.of_reading, "share_of_reading")
    if accuracy.at_least:
        least = units.parse(accuracy.at_least, units.difference_of(quantity))
    if share < 0 or least < 0:
        negative = accuracy.of_reading if share < 0 else accuracy.at_least
        raise UnreadableValue(f"an accuracy of {negative!r} is below zero; write it without a sign")
    if share > MOST:
        raise UnreadableValue(
            f"an accuracy of {accuracy.of_reading!r} of the reading tells next to nothing; "
            "check the decimal point"
        )
    if not share and not least:
        raise UnreadableValue(
            "no instrument is exact; write a share of the reading, a least figure, or both"
        )
    return share, least

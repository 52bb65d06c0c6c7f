"""How far instruments may be off, in words: how much, and who says so."""

from collections.abc import Iterable, Mapping

from engine.knowledge import Knowledge, schema
from engine.knowledge.instruments import Stated, accuracy_of

TYPICAL_OF_CLASS = "typical of its class"
STATED_BY_YOU = "as stated by you"


def accuracy_words(accuracy: schema.Accuracy) -> str:
    """An accuracy as it is said.

    Examples
    --------
    >>> accuracy_words(schema.Accuracy(of_reading="5 %", at_least="10 ppm"))
    '± 5 % of the reading, at least 10 ppm'
    >>> accuracy_words(schema.Accuracy(at_least="2 K"))
    '± 2 K'
    """
    if not accuracy.of_reading:
        return f"± {accuracy.at_least}"
    least = f", at least {accuracy.at_least}" if accuracy.at_least else ""
    return f"± {accuracy.of_reading} of the reading{least}"


def whose_accuracy(
    knowledge: Knowledge, stated: Mapping[str, Stated], instruments: Iterable[str]
) -> str:
    """Of the instruments behind a figure: how accurate each is, and who says so."""
    return "; ".join(
        f"{knowledge.instruments[name].name} "
        f"{accuracy_words(accuracy_of(knowledge, stated, name))}, "
        f"{STATED_BY_YOU if name in stated else TYPICAL_OF_CLASS}"
        for name in instruments
    )

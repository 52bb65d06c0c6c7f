"""The form of a reading: what is read off instruments, and which outcome a value means."""

from pydantic import Field

from engine.knowledge.entry import AnyLimit, Entry, Id, Ids, Sources, Text


class ReadingField(Entry):
    """One number read off an instrument."""

    name: Text
    quantity: Id
    unit: Text
    instrument: Id
    plausible: tuple[Text, Text]
    optional: bool = False
    source: Sources


OR = " or "  # before the value taken where none was measured
SPREAD = "±"  # before how far such a value may be off, two standard deviations


class Figure(Entry):
    """What is banded or reported: a field as read, or a named calculation over readings.

    An input is this.FIELD, CHECK.FIELD or fact.NAME, each with "or VALUE ± SPREAD", or a value.
    """

    field: Id | None = None
    calculation: Id | None = None
    inputs: dict[Id, Text] = {}  # parameter -> where it comes from
    only: Ids = ()  # outcomes that it may lead to: it says nothing of the others
    name: Text | None = None
    unit: Text | None = None


class Band(Entry):
    """The stretch of values that means one outcome: from (included) up to below."""

    outcome: Id
    start: AnyLimit | None = Field(default=None, alias="from")
    below: AnyLimit | None = None


class Slip(Entry):
    """A value that deserves a question, with the slip that likely made it."""

    field: Id
    start: AnyLimit | None = Field(default=None, alias="from")
    below: AnyLimit | None = None
    unless: Id | None = None  # not asked when this field is given too: the two check each other
    says: Text


class Reading(Entry):
    """The quantity behind a check's outcome, and the bands that turn it into one."""

    fields: dict[Id, ReadingField] = {}
    figure: tuple[Figure, ...] = Field(min_length=1)
    bands: tuple[Band, ...] = Field(min_length=2)
    band_source: Sources
    reports: tuple[Figure, ...] = ()
    slips: tuple[Slip, ...] = ()

"""What can happen in a visit. Events are only ever added; the state is a fold over them."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, TypeAdapter

Note = Annotated[str, StringConstraints(max_length=2000, strip_whitespace=True)]
Name = Annotated[str, StringConstraints(min_length=1, max_length=80)]
Typed = Annotated[str, StringConstraints(max_length=64)]
Who = Literal["caller", "technician_no_gas", "technician"]

ENDS = {
    "mended_and_proven": "Mended and proven",
    "made_safe_and_referred": "Made safe and referred",
    "stopped_for_danger": "Stopped for danger",
    "no_listed_cause": "No listed cause",
    "serviced_and_proven": "Serviced, nothing left open",
}


class _Event(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Opened(_Event):
    """The visit begins: who holds the tool, and a title to find it by."""

    kind: Literal["opened"] = "opened"
    who: Who
    title: Note = ""


class FactStated(_Event):
    """Something about this boiler: a choice, a value with unit, or empty for not known."""

    kind: Literal["fact_stated"] = "fact_stated"
    fact: Name
    value: Typed


class InstrumentStated(_Event):
    """How accurate the instrument in hand is; both empty: typical of its class again."""

    kind: Literal["instrument_stated"] = "instrument_stated"
    instrument: Name
    of_reading: Typed = ""
    at_least: Typed = ""


class SymptomReported(_Event):
    kind: Literal["symptom_reported"] = "symptom_reported"
    symptom: Name


class ServicePlanned(_Event):
    """A yearly service, and what is opened for it; from here on a finding may bring a complaint."""

    kind: Literal["service_planned"] = "service_planned"
    openings: tuple[Name, ...] = ()


class Postponed(_Event):
    """A step of the service that is to come after the others of its kind."""

    kind: Literal["postponed"] = "postponed"
    step: Name


class ContextStated(_Event):
    kind: Literal["context_stated"] = "context_stated"
    context: Name


class Suspected(_Event):
    """What the person thinks it is, before the tool has spoken."""

    kind: Literal["suspected"] = "suspected"
    cause: Name


class Found(_Event):
    """A check's answer: the outcome seen, or the values read with their units."""

    kind: Literal["found"] = "found"
    check: Name
    outcome: Name | None = None
    values: dict[Name, Typed] = {}
    sure: bool = False  # an implausible value was questioned and stands


class Skipped(_Event):
    """A check or action that cannot or will not be done here."""

    kind: Literal["skipped"] = "skipped"
    step: Name
    reason: Note = ""


class ActionDone(_Event):
    kind: Literal["action_done"] = "action_done"
    action: Name
    cause: Name | None = None


class Proved(_Event):
    """A closing step: values, an outcome, or confirmed words; `failed` when it did not hold."""

    kind: Literal["proved"] = "proved"
    closing: Name
    outcome: Name | None = None
    values: dict[Name, Typed] = {}
    sure: bool = False
    words: Note = ""
    failed: bool = False


class TakenBack(_Event):
    """An earlier event does not count any more."""

    kind: Literal["taken_back"] = "taken_back"
    event: int


class MadeSafe(_Event):
    """A danger sign was made safe; a licensed technician goes on, without what it prevents."""

    kind: Literal["made_safe"] = "made_safe"
    event: int
    words: Note


class Noted(_Event):
    kind: Literal["noted"] = "noted"
    text: Note


class HandedOver(_Event):
    """Somebody else goes on: from the phone to the site, or to another technician."""

    kind: Literal["handed_over"] = "handed_over"
    who: Who
    words: Note = ""


class Closed(_Event):
    kind: Literal["closed"] = "closed"
    end: Literal[
        "mended_and_proven", "made_safe_and_referred", "stopped_for_danger", "no_listed_cause",
        "serviced_and_proven",
    ]  # fmt: skip
    words: Note = ""


Event = Annotated[
    Opened
    | FactStated
    | InstrumentStated
    | SymptomReported
    | ServicePlanned
    | Postponed
    | ContextStated
    | Suspected
    | Found
    | Skipped
    | ActionDone
    | Proved
    | TakenBack
    | MadeSafe
    | Noted
    | HandedOver
    | Closed,
    Field(discriminator="kind"),
]

EVENT = TypeAdapter(Event)
"""Reads and writes events as JSON."""

ADDING = (SymptomReported, ContextStated, Suspected, Noted)
"""What stands beside anything that others enter, and replaces nothing: it is never held up."""

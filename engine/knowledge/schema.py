"""The forms in which the trade's knowledge is written.

One frozen class for each kind of thing; field comments say what they mean. Shape only: whether
ids exist, bands touch and the access order has no circle is checked in
`engine.knowledge.loading`, which knows all files.
"""

from typing import Annotated, Literal

from pydantic import Field

from engine.knowledge.entry import (
    AnyLimit,
    Entry,
    Id,
    Ids,
    Minutes,
    Share,
    Sources,
    Text,
    Texts,
    Waits,
)
from engine.knowledge.reading import Reading

WHO = ("caller", "technician_no_gas", "technician")  # each may do all that stands before it
Who = Literal["caller", "technician_no_gas", "technician"]
Hazard = Literal[
    "gas", "flue_gas", "mains", "hot", "acid", "fibre", "height", "moving", "sharp", "water",
    "damage",
]  # fmt: skip
System = Literal[
    "gas_supply", "gas_valve", "ignition", "flame_sensing", "burner", "air", "vent",
    "condensate", "exchanger", "water", "control", "electrical",
]  # fmt: skip


class Danger(Entry):
    """Why everything stops, and the words to say at once."""

    advice: Texts = Field(min_length=1)
    do_not: Texts = ()
    who_acts: Text
    made_safe: Text | None = None  # what a licensed technician confirms, to go on from there
    say: Text | None = None  # how it is asked for on the phone


class Word(Entry):
    """A likelihood word and the probability it stands for."""

    says: Text
    probability: Share
    source: Sources


class Commonness(Entry):
    """How common a cause is for a complaint, as a relative weight."""

    says: Text
    weight: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]
    source: Sources


class Standing(Entry):
    """How often a cause stands in a boiler nobody complains of."""

    says: Text
    probability: Annotated[float, Field(gt=0, lt=0.5, allow_inf_nan=False)]
    source: Sources


class Shift(Entry):
    """By what factor a circumstance multiplies the odds of a cause."""

    says: Text
    factor: Annotated[float, Field(gt=0, le=20, allow_inf_nan=False)]
    source: Sources


class Source(Entry):
    """Where a number or a rule comes from, and whether its text was read."""

    name: Text
    kind: Literal[
        "standard", "handbook", "law", "paper", "trade_press", "common_practice", "judgement",
        "memory", "calculation",
    ]  # fmt: skip
    seen: Literal["text", "quoted", "memory", "n/a"]
    note: Text | None = None


class Symptom(Entry):
    """What a person notices or complains of; a danger sign carries its immediate advice."""

    name: Text
    group: Literal[
        "will_not_start", "starts_and_stops", "runs_badly", "leaks_or_smells",
        "found_while_servicing",
    ]  # fmt: skip
    caller_says: Texts = Field(min_length=1)
    share: Id  # commonness word: how common this complaint is among call-outs
    first_words: Text | None = None
    do_not: Texts = ()
    danger: Danger | None = None
    prevents: Ids = ()  # access states that cannot be reached while this is so
    source: Sources


class Context(Entry):
    """A circumstance that changes the odds before any check."""

    name: Text
    ask: Text
    shifts: dict[Id, Id] = Field(min_length=1)  # cause -> shift word
    first: Text | None = None
    when: dict[Id, tuple[Text, Text]] = {}  # fact -> from (included), below: true by itself there
    only_if: dict[Id, Ids] = {}
    source: Sources


class Fact(Entry):
    """Something about this boiler, asked once: a choice, or a number with unit."""

    name: Text
    part: Literal["boiler", "design", "limits"]
    ask: Text
    help: Text | None = None
    choices: dict[Id, Text] | None = None
    assumed: Id | None = None
    quantity: Id | None = None
    unit: Text | None = None
    typical: AnyLimit | None = None
    spread: Text | None = None  # share by which a typical figure may be off, two deviations
    plausible: tuple[Text, Text] | None = None
    source: Sources


class Caution(Entry):
    """A hazard, what to do about it, and what it defers to."""

    hazard: Hazard
    says: Text
    say: Text | None = None  # as it is read out on the phone
    defers_to: Text
    source: Sources


class Part(Entry):
    """A part or consumable by its role; never by a maker's number.

    `minutes` is its price as minutes of labour: judgement, to be replaced by one's own prices.
    """

    part: Text
    count: Annotated[int, Field(ge=1, le=50)] = 1
    minutes: Annotated[float, Field(ge=0, le=5000, allow_inf_nan=False)] = 3.0


class Access(Entry):
    """A state of the appliance: something opened, or the boiler powered or firing in some way.

    A `running` state excludes every layer that is `shut_to_run`; a `powered` one, where nothing
    burns, only those that take the mains away.
    """

    name: Text
    kind: Literal["opened", "powered", "running"]
    needs: Ids = ()
    open_minutes: Minutes
    close_minutes: Minutes
    shut_to_run: bool = False
    breaks: tuple[Literal["gas", "combustion", "water", "mains"], ...] = ()
    who: Who
    hazards: tuple[Hazard, ...] = ()
    cautions: Ids = ()
    open_how: Texts = ()
    close_how: Texts = ()
    say: Texts = ()  # as it is read out on the phone
    closing: Ids = ()  # what closing it obliges
    yearly: Literal["measure", "usual", "full"] | None = None  # the least service that opens it
    tools: Texts = ()  # to have at hand for it
    parts: tuple[Part, ...] = ()  # what goes in new, or may have to, whenever it is shut
    source: Sources

    @property
    def choosable(self) -> bool:
        """Whether one decides on opening it: what obliges nothing comes with what lies behind."""
        return self.kind == "opened" and bool(self.closing)

    @property
    def disturbs(self) -> bool:
        """Whether the boiler may burn otherwise after it: it cannot run with this open."""
        return self.choosable and self.shut_to_run

    def excludes(self, other: "Access") -> bool:
        """Whether the two states cannot hold at once."""
        if self.kind == "opened":
            return other.kind != "opened" and other.excludes(self)
        if other.kind != "opened":
            return self is not other
        return other.shut_to_run if self.kind == "running" else "mains" in other.breaks


class Part(Entry):
    """A part or consumable by its role; never by a maker's number.

    `minutes` is its price as minutes of labour: judgement, to be replaced by one's own prices.
    """

    part: Text
    count: Annotated[int, Field(ge=1, le=50)] = 1
    minutes: Annotated[float, Field(ge=0, le=5000, allow_inf_nan=False)] = 3.0


class Closing(Entry):
    """Something to be proven before leaving: a check's reading, or a confirmed sentence."""

    name: Text
    how: Texts = Field(min_length=1)
    say: Texts = ()  # as it is read out on the phone
    check: Id | None = None
    passes: Ids = ()
    confirm: Text | None = None
    minutes: Minutes | None = None  # where it takes longer than its check, or than two minutes
    waits: Waits = ()  # what is waited out by the clock; those of its check where it names none
    always: bool = False
    after_safe_acts: bool = False  # instead of those, where only what a caller may do was done
    before_firing: bool = False  # it must hold before the burner may be lit again
    who: Who
    cautions: Ids = ()
    parts: tuple[Part, ...] = ()  # what it takes each time, as a new gasket
    against: Ids = ()  # facts of the boiler's sheet to hold it against
    only_if: dict[Id, Ids] = {}
    source: Sources


class Outcome(Entry):
    """One way a check can come out."""

    says: Text
    caller_says: Texts = ()  # as somebody on the phone would put it, the plainest first
    means: Text
    in_sound_boiler: Id | None = None  # likelihood word; the first outcome has none
    danger: Danger | None = None
    prevents: Ids = ()  # access states that cannot be reached while this is so
    look_next: Ids = ()  # checks worth making after it where no visit weighs them
    raises: Id | None = None  # the complaint that it brings where nobody complained: in a service


class Accuracy(Entry):
    """How far an instrument may be off, as printed (two standard deviations): the larger counts."""

    of_reading: Text | None = None
    at_least: Text | None = None


class Instrument(Entry):
    """A class of instruments: what it reads, and how far off one of it typically is."""

    name: Text
    quantity: Id
    accuracy: Accuracy
    only_readings: bool = False  # a sheet of readings takes it, no check does
    note: Text | None = None
    source: Sources


class Check(Entry):
    """One thing to look at, ask or measure."""

    name: Text
    asks: Text
    how: Texts = ()
    say: Texts = ()  # as it is read out on the phone
    instrument: Text | None = None
    bring: Texts | None = None  # what to pack for it, where that is not just the instrument
    where: Text | None = None
    access: Ids = ()
    shut: Ids = ()
    minutes: Minutes
    waits: Waits = ()  # what is waited out by the clock, in the order of `how`
    times: bool = False  # something is timed by the hand of the one who looks
    who: Who
    hazards: tuple[Hazard, ...] = ()
    cautions: Ids = ()
    mistakes: Texts = ()
    reliability: dict[Who, Id] = {}
    against: Ids = ()  # facts of the boiler's sheet to hold it against
    only_if: dict[Id, Ids] = {}
    only_with: Ids = ()  # complaints with which the question makes sense; all where empty
    past: bool = False  # asks what was before this visit, so that no repair changes the answer
    yearly: Literal["before", "before_and_after", "opened"] | None = None  # its place in a service
    photograph: Text | None = None  # what the step itself, or the cleaning after it, washes away
    outcomes: dict[Id, Outcome] = Field(min_length=2)  # in order of dominance, healthy first
    reading: Reading | None = None
    source: Sources

    @property
    def derived(self) -> bool:
        """True where the outcome is worked out from other checks' readings, never asked."""
        return self.reading is not None and not self.reading.fields

    @property
    def healthy(self) -> str:
        """Id of the outcome that a sound boiler shows."""
        return next(iter(self.outcomes))


class Action(Entry):
    """Clean, adjust, replace, restore, refer or make safe."""

    name: Text
    kind: Literal["clean", "adjust", "replace", "restore", "refer", "make_safe"]
    how: Texts = Field(min_length=1)
    say: Texts = ()  # as it is read out on the phone
    access: Ids = ()
    shut: Ids = ()
    minutes: Minutes
    others_minutes: Minutes = 0.0  # the work of whom it is handed to; judgement, as with parts
    who: Who
    hazards: tuple[Hazard, ...] = ()
    cautions: Ids = ()
    parts: tuple[Part, ...] = ()
    tools: Texts = ()  # to have at hand for it
    yearly: bool = False  # due in a service, whatever was found
    verify: Ids = ()
    only_after: dict[Id, Ids] = {}  # check -> outcomes of which one must have been found before it
    against: Ids = ()  # facts of the boiler's sheet to hold it against
    only_if: dict[Id, Ids] = {}
    source: Sources

    @property
    def price(self) -> float:
        """What its parts cost, as minutes of labour."""
        return sum(part.count * part.minutes for part in self.parts)


class Cause(Entry):
    """One thing that can be wrong, what it shows, and what mends it."""

    name: Text
    system: System
    mechanism: Text
    seen_with: dict[Id, Id] = {}  # symptom -> commonness word
    standing: Id
    only_if: dict[Id, Ids] = {}
    shows: dict[Id, dict[Id, Id]] = Field(min_length=1)  # check -> outcome -> likelihood word
    mended_by: dict[Id, Id] = Field(min_length=1)  # action -> likelihood word
    promotes: dict[Id, Id] = {}  # cause -> shift word
    note: Text | None = None
    source: Sources


KINDS: dict[str, type[Entry]] = {
    "words": Word,
    "commonness": Commonness,
    "standing": Standing,
    "shifts": Shift,
    "sources": Source,
    "symptoms": Symptom,
    "contexts": Context,
    "facts": Fact,
    "instruments": Instrument,
    "cautions": Caution,
    "access": Access,
    "closing": Closing,
    "checks": Check,
    "actions": Action,
    "causes": Cause,
}

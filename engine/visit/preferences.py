"""What fits the tool to a person and a company, kept from visit to visit."""

from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from engine.errors import UnreadableValue
from engine.knowledge import Knowledge
from engine.records import Store
from engine.visit.events import Who

Line = Annotated[str, StringConstraints(max_length=200, strip_whitespace=True)]

LOOKS = {
    "device": "As the device says",
    "light": "Light",
    "dark": "Dark",
    "plant_room": "Plant room, strongest contrast",
}
SIZES = {"normal": "Normal", "large": "Large", "largest": "Largest"}

SYSTEMS = {
    "metric": "mbar, kW, °C, metres",
    "pascal": "Pa and kPa, kW, °C, metres",
    "us": "inches of water, kBtu/h, °F, feet",
}
"""Sets of units that are chosen with one tap."""

_INSTEAD = {
    "metric": {},
    "pascal": {("gauge_pressure", "mbar"): "kPa", ("gauge_pressure", "bar"): "kPa"},
    "us": {
        ("gauge_pressure", "mbar"): "inH2O", ("gauge_pressure", "bar"): "psi",
        ("power", "kW"): "kBtu/h", ("temperature", "degC"): "°F",
        ("temperature_difference", "K"): "°F",
        ("length", "m"): "ft", ("length", "mm"): "in",
        ("volume", "L"): "gal", ("volume_heat", "MJ/m3"): "Btu/ft³", ("torque", "N*m"): "lbf·ft",
    },
}  # fmt: skip
"""By quantity and the unit in which the knowledge is written."""


class Preferences(BaseModel):
    """One person's or company's settings; all have a default that works."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    who: Who | None = None
    units: Literal["metric", "pascal", "us"] | None = None
    labour_rate: Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False)] | None = None
    currency: Annotated[str, StringConstraints(max_length=8, strip_whitespace=True)] = ""
    company: Line = ""
    address: Line = ""
    phone: Line = ""
    licence: Line = ""
    emergency: Line = ""
    look: Literal["device", "light", "dark", "plant_room"] = "device"
    size: Literal["normal", "large", "largest"] = "normal"


def preferences(store: Store) -> Preferences:
    """The settings as kept; what cannot be read any more is as if it had not been set.

    Examples
    --------
    >>> store = Store("sqlite://")
    >>> keep(store, Preferences(company="Example Heating"))
    >>> preferences(store).company, preferences(store).look
    ('Example Heating', 'device')
    """
    kept = {name: v for name, v in store.settings().items() if name in Preferences.model_fields}
    try:
        return Preferences(**kept)
    except ValidationError as error:
        wrong = {each["loc"][0] for each in error.errors()}
        return Preferences(**{name: value for name, value in kept.items() if name not in wrong})


def keep(store: Store, chosen: Preferences) -> None:
    """Keep the settings in place of those before."""
    store.keep_settings(chosen.model_dump(mode="json"))


def changed(before: Preferences, **fields) -> Preferences:
    """Settings with some of them changed.

    Raises
    ------
    UnreadableValue
        With the setting and what is wrong with it.
    """
    try:
        return Preferences(**{**before.model_dump(), **fields})
    except ValidationError as error:
        first = error.errors()[0]
        name = str(first["loc"][0]).replace("_", " ")
        raise UnreadableValue(f"{name}: {first['msg'].lower()}") from None


@lru_cache(maxsize=8)
def in_units(known: Knowledge, system: str | None) -> Knowledge:
    """The knowledge with its readings, figures and facts in a set of units of `SYSTEMS`.

    Only what is asked and shown changes: values are stored with the unit in which they were typed.

    Examples
    --------
    >>> from engine.visit.keeping import knowledge
    >>> in_units(knowledge(), "us").facts["altitude"].unit
    'ft'
    """
    instead = _INSTEAD.get(system or "", {})
    if not instead:
        return known

    def turned(entry, quantity):
        unit = instead.get((quantity, entry.unit))
        return entry.model_copy(update={"unit": unit}) if unit else entry

    facts = {name: turned(fact, fact.quantity) for name, fact in known.facts.items()}
    checks = {name: _turned_check(check, turned, known) for name, check in known.checks.items()}
    return replace(known, facts=MappingProxyType(facts), checks=MappingProxyType(checks))


def _turned_check(check, turned, known):
    if check.reading is None:
        return check
    reading = check.reading

    def figure(entry):
        if entry.calculation:
            return turned(entry, known.calculations[entry.calculation].quantity)
        return turned(entry, reading.fields[entry.field].quantity)

    update = {
        "fields": {name: turned(field, field.quantity) for name, field in reading.fields.items()},
        "figure": tuple(map(figure, reading.figure)),
        "reports": tuple(map(figure, reading.reports)),
    }
    return check.model_copy(update={"reading": reading.model_copy(update=update)})

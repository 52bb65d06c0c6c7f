"""What the forms of the knowledge are built from: texts, ids, minutes, limits."""

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

Text = Annotated[str, StringConstraints(min_length=1, max_length=600, strip_whitespace=True)]
Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$", max_length=60)]
Texts = tuple[Text, ...]
Ids = tuple[Id, ...]
Minutes = Annotated[float, Field(ge=0, le=600, allow_inf_nan=False)]
Share = Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)]


def _listed(value):
    """One word where a list is expected is a list of one."""
    return [value] if isinstance(value, str) else value


Sources = Annotated[Ids, BeforeValidator(_listed), Field(min_length=1)]
Waits = Annotated[Texts, BeforeValidator(_listed)]


class Entry(BaseModel):
    """Frozen, and no keys beyond the named ones."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Limit(Entry):
    """Where a band ends: a value, a value by fuel, or a figure of the boiler's sheet."""

    value: Text | None = None
    by_fuel: dict[Id, Text] | None = None
    fact: Id | None = None


def _limit(value):
    return {"value": value} if isinstance(value, str) else value


AnyLimit = Annotated[Limit, BeforeValidator(_limit)]

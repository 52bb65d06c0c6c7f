"""Shape errors in words: a pydantic error as what is wrong, and how to mend it."""

from types import NoneType, UnionType
from typing import Annotated, Union, get_args, get_origin

from pydantic import BaseModel

from engine.errors import nearest


def in_words(error: dict, model: type[BaseModel]) -> tuple[str, str]:
    """A pydantic error as what is wrong and how to mend it."""
    key = error["loc"][-1] if error["loc"] else ""
    kind, context = error["type"], error.get("ctx", {})
    if kind == "missing":
        return f"key {key!r} is missing", f"add {key!r} here"
    if kind == "extra_forbidden":
        allowed = _keys_at(model, error["loc"][:-1])
        close = nearest(str(key), allowed)
        return (
            f"unknown key {key!r}",
            (f"write {close!r}; " if close else "") + f"allowed keys: {', '.join(allowed)}",
        )
    if kind == "literal_error":
        return f"{error['input']!r} is not allowed as {key!r}", f"choose {context['expected']}"
    if kind == "string_pattern_mismatch":
        return (
            f"{error['input']!r} is not an id",
            "use a to z, digits and single underscores, a letter first",
        )
    if kind in ("tuple_type", "dict_type", "model_type"):
        shape = "a list" if kind == "tuple_type" else "a mapping of keys"
        return f"{key!r} is {_shape(error['input'])}, {shape} is needed", f"write {shape}"
    if kind == "string_type":
        return f"{key!r} is {_shape(error['input'])}, text is needed", "write one line of text"
    return f"{key!r}: {error['msg'].lower()} (got {str(error['input'])[:60]!r})", "correct it"


def _shape(value) -> str:
    return {dict: "a mapping", list: "a list", str: "text"}.get(type(value), "missing")


def _keys_at(model, path) -> list[str]:
    """The keys allowed where `path` leads inside a model."""
    for step in path:
        if _is_model(model):
            by_key = {f.alias or name: f.annotation for name, f in model.model_fields.items()}
            model = _bare(by_key.get(step))
        else:  # a list or a mapping: on to what it holds
            held = [part for part in get_args(model) if part is not Ellipsis]
            model = _bare(held[-1] if held else None)
    if not _is_model(model):
        return []
    return [field.alias or name for name, field in model.model_fields.items()]


def _is_model(annotation) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def _bare(annotation):
    """An annotation without what is wrapped round it: optional, or with rules of its own."""
    while get_origin(annotation) in (Annotated, Union, UnionType):
        annotation = next(part for part in get_args(annotation) if part is not NoneType)
    return annotation

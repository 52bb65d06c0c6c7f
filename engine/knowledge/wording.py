"""Shape errors in words: a pydantic error as what is wrong, and how to mend it."""

from typing import get_args

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
        if isinstance(model, type) and issubclass(model, BaseModel):
            by_key = {f.alias or name: f.annotation for name, f in model.model_fields.items()}
            model = _unwrap(by_key.get(step))
        else:
            model = _unwrap(model)
    if not (isinstance(model, type) and issubclass(model, BaseModel)):
        return []
    return [field.alias or name for name, field in model.model_fields.items()]


def _unwrap(annotation):
    """The model inside Optional, Annotated, tuple and dict annotations."""
    while not isinstance(annotation, type):
        inner = [part for part in get_args(annotation) if part not in (type(None), Ellipsis)]
        models = [p for p in inner if get_args(p) or (isinstance(p, type) and p is not str)]
        if not models:
            return annotation
        annotation = models[-1] if annotation.__class__.__name__ != "_AnnotatedAlias" else inner[0]
    return annotation

"""Every id that an entry names, with the place where it is named."""

from collections.abc import Iterator

from engine.knowledge import schema

SINGULAR = {
    "words": "likelihood word",
    "commonness": "commonness word",
    "standing": "standing word",
    "shifts": "shift word",
    "sources": "source",
    "symptoms": "symptom",
    "contexts": "context",
    "facts": "fact",
    "instruments": "instrument",
    "cautions": "caution",
    "access": "access state",
    "closing": "closing step",
    "checks": "check",
    "actions": "action",
    "causes": "cause",
}


def references(kind: str, entry: schema.Entry) -> Iterator[tuple[tuple, str, str]]:
    """Every (path inside the entry, kind referred to, id) that an entry names."""
    if hasattr(entry, "source"):
        yield from ((("source",), "sources", name) for name in entry.source)
    for key in ("cautions", "closing"):
        yield from (((key, i), key, name) for i, name in enumerate(getattr(entry, key, ())))
    if kind in ("checks", "actions"):
        for key in ("access", "shut"):
            yield from (((key, i), "access", name) for i, name in enumerate(getattr(entry, key)))
    yield from ((("against", i), "facts", n) for i, n in enumerate(getattr(entry, "against", ())))
    if hasattr(entry, "only_if"):
        yield from ((("only_if", name), "facts", name) for name in entry.only_if)
    match entry:
        case schema.Symptom():
            yield ("share",), "commonness", entry.share
            yield from ((("prevents", i), "access", n) for i, n in enumerate(entry.prevents))
        case schema.Context():
            yield from ((("when", name), "facts", name) for name in entry.when)
            for cause, word in entry.shifts.items():
                yield ("shifts", cause), "causes", cause
                yield ("shifts", cause), "shifts", word
        case schema.Access():
            yield from ((("needs", i), "access", n) for i, n in enumerate(entry.needs))
        case schema.Closing(check=str(check)):
            yield ("check",), "checks", check
        case schema.Check():
            for name, outcome in entry.outcomes.items():
                if outcome.in_sound_boiler:
                    yield (("outcomes", name, "in_sound_boiler"), "words", outcome.in_sound_boiler)
                if outcome.raises:
                    yield (("outcomes", name, "raises"), "symptoms", outcome.raises)
                yield from (
                    (("outcomes", name, "prevents", i), "access", state)
                    for i, state in enumerate(outcome.prevents)
                )
                yield from (
                    (("outcomes", name, "look_next", i), "checks", check)
                    for i, check in enumerate(outcome.look_next)
                )
            yield from ((("reliability", w), "words", n) for w, n in entry.reliability.items())
            yield from ((("only_with", i), "symptoms", n) for i, n in enumerate(entry.only_with))
            if entry.reading:
                path = ("reading",)
                yield from (
                    ((*path, "band_source"), "sources", n) for n in entry.reading.band_source
                )
                for name, field in entry.reading.fields.items():
                    yield (*path, "fields", name, "instrument"), "instruments", field.instrument
                    yield from (
                        ((*path, "fields", name, "source"), "sources", n) for n in field.source
                    )
                for i, band in enumerate(entry.reading.bands):
                    for key, limit in (("from", band.start), ("below", band.below)):
                        if limit and limit.fact:
                            yield (*path, "bands", i, key), "facts", limit.fact
        case schema.Action():
            yield from ((("verify", i), "closing", n) for i, n in enumerate(entry.verify))
            yield from ((("only_after", check), "checks", check) for check in entry.only_after)
        case schema.Cause():
            yield ("standing",), "standing", entry.standing
            for symptom, word in entry.seen_with.items():
                yield ("seen_with", symptom), "symptoms", symptom
                yield ("seen_with", symptom), "commonness", word
            for check, outcomes in entry.shows.items():
                yield ("shows", check), "checks", check
                for outcome, word in outcomes.items():
                    yield ("shows", check, outcome), "words", word
            for action, word in entry.mended_by.items():
                yield ("mended_by", action), "actions", action
                yield ("mended_by", action), "words", word
            for cause, word in entry.promotes.items():
                yield ("promotes", cause), "causes", cause
                yield ("promotes", cause), "shifts", word

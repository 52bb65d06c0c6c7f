"""What the knowledge holds, with enough detail for another program to write a case."""

from engine.knowledge import Knowledge, schema
from engine.knowledge.entry import Limit

KINDS = ("symptoms", "contexts", "facts", "instruments", "checks", "causes", "actions")


def entries(knowledge: Knowledge, kind: str) -> list[dict]:
    """Ids and names of one kind; for facts their choices or unit, for checks their answers."""
    details = {
        "checks": _check, "facts": _fact, "symptoms": _symptom, "instruments": _instrument,
    }.get(kind, lambda entry: {})  # fmt: skip
    return [
        {"id": name, "name": entry.name, **details(entry)}
        for name, entry in getattr(knowledge, kind).items()
    ]


def _symptom(symptom: schema.Symptom) -> dict:
    return {"danger": symptom.danger is not None}


def _fact(fact: schema.Fact) -> dict:
    if fact.choices is not None:
        return {"choices": dict(fact.choices), "assumed": fact.assumed}
    return {
        "quantity": fact.quantity,
        "unit": fact.unit,
        "typical": fact.typical and _limit(fact.typical),
    }


def _instrument(instrument: schema.Instrument) -> dict:
    return {"quantity": instrument.quantity, "accuracy": instrument.accuracy.model_dump()}


def _check(check: schema.Check) -> dict:
    answer = {
        "who": check.who,
        "derived": check.derived,
        "outcomes": {name: outcome.says for name, outcome in check.outcomes.items()},
        "danger": [name for name, outcome in check.outcomes.items() if outcome.danger],
    }
    if check.reading:
        answer["fields"] = {
            name: {
                "name": field.name,
                "quantity": field.quantity,
                "unit": field.unit,
                "instrument": field.instrument,
                "plausible": list(field.plausible),
                "optional": field.optional,
            }
            for name, field in check.reading.fields.items()
        }
        answer["bands"] = [
            {
                "outcome": band.outcome,
                "from": band.start and _limit(band.start),
                "below": band.below and _limit(band.below),
            }
            for band in check.reading.bands
        ]
    return answer


def _limit(limit: Limit):
    return limit.value or ({"fact": limit.fact} if limit.fact else {"by_fuel": dict(limit.by_fuel)})

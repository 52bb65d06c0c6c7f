"""One case from a file: who asks, what is known, what was found; and the engine's view of it.

The form is a contract for other programs; see DEVELOPERS.md.
"""

from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from engine import units
from engine.errors import Problem, SightportError, Unusable
from engine.knowledge import Knowledge, nodes
from engine.knowledge.wording import in_words
from engine.visit import events as happened
from engine.visit.state import fold
from engine.visit.taking import check_content, check_event
from engine.visit.view import View, look

MOST = Field(max_length=200)
"""How many entries one list of a case may hold; each is checked against all before it."""


class CaseFinding(BaseModel):
    """A check's answer: `outcome`, or `value` of the field it must have, or `values` by field."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    check: str
    outcome: str | None = None
    value: str | None = None
    values: dict[str, str] = {}
    sure: bool = False


class CaseAccuracy(BaseModel):
    """How accurate an instrument is that was used: a share of the reading, a least figure."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    of_reading: str = ""
    at_least: str = ""


class Case(BaseModel):
    """A case as written; `story`, `expect`, `why` and `missed` are for readers only."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    who: str = "technician"
    facts: Annotated[dict[str, str], MOST] = {}
    instruments: Annotated[dict[str, CaseAccuracy], MOST] = {}
    symptoms: Annotated[tuple[str, ...], MOST] = ()
    service: Annotated[tuple[str, ...], MOST] | None = None
    contexts: Annotated[tuple[str, ...], MOST] = ()
    suspected: Annotated[tuple[str, ...], MOST] = ()
    findings: Annotated[tuple[CaseFinding, ...], MOST] = ()
    unable: Annotated[tuple[str, ...], MOST] = ()
    largest: int = 2
    story: str = ""
    expect: dict[str, str] = {}
    why: str = ""
    missed: str = ""


def consult(knowledge: Knowledge, path: Path) -> tuple[Case, View]:
    """Read a case and answer it.

    Raises
    ------
    Unusable
        With every problem of the file: line, what, mend.
    """
    document = nodes.read(path, shown_as=str(path))
    if document.problems:
        raise Unusable(document.problems)
    try:
        case = Case.model_validate(document.data)
    except ValidationError as error:
        raise Unusable(
            Problem(document.file, document.line(tuple(part["loc"])), *in_words(part, Case))
            for part in error.errors()
        ) from None
    history, problems = _history(knowledge, case, document)
    if problems:
        raise Unusable(problems)
    if case.largest not in (1, 2, 3):
        raise Unusable(
            [
                Problem(
                    document.file,
                    document.line(("largest",)),
                    f"sets of up to {case.largest} causes are not possible",
                    "write 1, 2 or 3",
                )
            ]
        )
    return case, look(knowledge, fold(knowledge, history), case.largest)


def _history(knowledge, case, document):
    """The case as events, each checked as if it were entered; problems with their lines."""
    steps = [(("who",), lambda: happened.Opened(who=case.who))]
    steps += [
        (("facts", name), lambda n=name, v=value: happened.FactStated(fact=n, value=v))
        for name, value in case.facts.items()
    ]
    steps += [
        (
            ("instruments", name),
            lambda n=name, a=accuracy: happened.InstrumentStated(instrument=n, **a.model_dump()),
        )
        for name, accuracy in case.instruments.items()
    ]
    if case.service is not None:
        steps.append((("service",), lambda: happened.ServicePlanned(openings=case.service)))
    steps += [
        (("contexts", i), lambda n=name: happened.ContextStated(context=n))
        for i, name in enumerate(case.contexts)
    ]
    steps += [
        (("suspected", i), lambda n=name: happened.Suspected(cause=n))
        for i, name in enumerate(case.suspected)
    ]
    steps += [
        (("unable", i), lambda n=name: happened.Skipped(step=n))
        for i, name in enumerate(case.unable)
    ]
    steps += [
        (("findings", i), lambda f=finding: _found(knowledge, f))
        for i, finding in enumerate(case.findings)
    ]
    steps += [
        (("symptoms", i), lambda n=name: happened.SymptomReported(symptom=n))
        for i, name in enumerate(case.symptoms)
    ]
    history, problems = (), []
    for path, make in steps:
        line = document.line(path)
        try:
            event = make()
            state = fold(knowledge, history)
            if state.danger:  # what else the case says is not asked any more, but must be usable
                check_content(knowledge, state, event)
            else:
                check_event(knowledge, history, event)
            history = (*history, (len(history) + 1, event))
        except ValidationError as error:
            what, mend = in_words(error.errors()[0], Case)
            problems.append(Problem(document.file, line, f"{path[0]}: {what}", mend))
        except SightportError as error:
            problems.append(_problem(document.file, line, path, error))
    if not case.symptoms and case.service is None:
        problems.append(
            Problem(
                document.file,
                document.line(("symptoms",)),
                "no complaint is given",
                "name at least one symptom; see 'list symptoms'",
            )
        )
    return history, problems


def _problem(file, line, path, error) -> Problem:
    what, _, mend = str(error).partition("; ")
    hint = "write 'sure: yes' beside it if the value stands" if "?" in what else ""
    return Problem(file, line, f"{path[0]}: {what}", mend or hint or "see 'list' for what is known")


def _found(knowledge, finding) -> happened.Found:
    given = [finding.outcome is not None, finding.value is not None, bool(finding.values)]
    if sum(given) != 1:
        raise SightportError(
            f"finding on {finding.check!r} needs exactly one of 'outcome', 'value', 'values'; "
            "keep one"
        )
    values = dict(finding.values)
    check = knowledge.checks.get(finding.check)
    if finding.value is not None and check is not None:
        fields = dict(check.reading.fields) if check.reading else {}
        asked = [name for name, field in fields.items() if not field.optional]
        if len(asked) != 1:
            raise SightportError(
                f"{finding.check!r} is not a single value; "
                + (
                    f"write 'values: {{{', '.join(f'{f}: …' for f in fields)}}}'"
                    if fields
                    else f"write 'outcome:' with one of {', '.join(check.outcomes)}"
                )
            )
        values = {asked[0]: finding.value}
    return happened.Found(
        check=finding.check, outcome=finding.outcome, values=values, sure=finding.sure
    )


def as_json(knowledge: Knowledge, view: View) -> dict:
    """The view in the form that other programs rely on; `service` only where one is planned."""
    following = view.next
    listed = [
        {"stage": i.stage, "kind": i.kind, "id": i.id, "stands": i.stands} for i in view.service
    ]
    return {
        "status": view.status,
        "headline": view.headline,
        "suspects": [
            {"cause": s.cause, "name": s.name, "probability": s.probability} for s in view.suspects
        ],
        "none_of_these": view.none_of_these,
        "remainder": view.remainder,
        "next": following
        and {
            "kind": following.kind,
            "id": following.id,
            "name": following.name,
            "minutes": following.minutes,
            "minutes_saved": following.minutes_saved,
            "access": list(following.access),
            "separates": list(following.separates),
            "cautions": list(following.cautions),
        },
        "ranking": [
            {"kind": o.kind, "id": o.name, "expected_minutes": o.expected_minutes}
            for o in view.ranking
        ],
        "actions": [{"id": a.id, "for": a.cause, "name": a.name} for a in view.actions],
        "cautions": list(view.cautions),
        "closing": [knowledge.closing[name].name for name in view.closing],
        "expected_minutes": view.expected_minutes,
        "unusual": list(view.unusual),
        "calculations": [_calculation(entry) for entry in view.calculations],
        **({"service": listed} if listed else {}),
    }


def _calculation(entry) -> dict:
    figure = entry["figure"]
    unit = figure.unit or units.QUANTITIES[figure.quantity].si_unit
    return {
        "name": figure.name,
        "check": entry["check"],
        "value": units.number_in(figure.value, figure.quantity, unit),
        "deviation": units.number_in(figure.deviation, units.difference_of(figure.quantity), unit),
        "unit": unit,
    }

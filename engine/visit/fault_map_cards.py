"""Cards of the map: all that the knowledge says of one cause, check or repair."""

from dataclasses import dataclass

from engine import safety
from engine.errors import UnreadableValue
from engine.knowledge import Knowledge, schema
from engine.knowledge import graph as graphs
from engine.visit.fault_map import SYSTEMS, spoken
from engine.visit.view import access_names
from engine.visit.weighing import in_hundred

CAUSE, CHECK, ACTION = "cause", "check", "action"
KINDS = {CAUSE: "causes", CHECK: "checks", ACTION: "actions"}

WHO_MAY = {
    "caller": "Anybody, a caller too",
    "technician_no_gas": "A technician, also without a gas licence",
    "technician": "A technician with a gas licence",
}

DANGER = "Danger sign: everything stops"

READ = {
    "text": "its text was read",
    "quoted": "read as quoted elsewhere",
    "memory": "from memory",
}
"""How well a source was seen."""


@dataclass(frozen=True)
class Line:
    """A line of a card; `opens` names the card behind it, kind and id, where there is one."""

    text: str
    opens: tuple[str, str] | None = None


@dataclass(frozen=True)
class Section:
    """A part of a card; `numbered` where the order of its lines is that of the hands."""

    title: str
    lines: tuple[Line, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Card:
    """A card. Its cautions stand before every section, `governs` is what they defer to."""

    kind: str
    id: str
    name: str
    about: str
    cautions: tuple[str, ...]
    governs: tuple[str, ...]
    sections: tuple[Section, ...]


def card(knowledge: Knowledge, complaint: str, kind: str, name: str) -> Card:
    """The card of a cause, check or repair, as it bears on a complaint.

    Raises
    ------
    UnreadableValue
        If there is nothing of this kind and id.
    """
    if kind not in KINDS or name not in getattr(knowledge, KINDS[kind]):
        raise UnreadableValue(f"there is no card {kind}.{name}; choose one on the map")
    entry = getattr(knowledge, KINDS[kind])[name]
    make = {CAUSE: _cause, CHECK: _check, ACTION: _action}[kind]
    about, sections = make(knowledge, complaint, name, entry)
    cautions, governs = (), ()
    if kind != CAUSE:
        warned = [knowledge.cautions[c] for c in safety.cautions(knowledge, KINDS[kind], name)]
        cautions = tuple(caution.says for caution in warned)
        governs = tuple(dict.fromkeys(caution.defers_to for caution in warned))
    sections = (*sections, _section("Where this comes from", _sources(knowledge, entry)))
    filled = tuple(section for section in sections if section.lines)
    return Card(kind, name, entry.name, about, cautions, governs, filled)


def _section(title, lines, numbered=False) -> Section:
    made = (line if isinstance(line, Line) else Line(line) for line in lines if line)
    return Section(title, tuple(made), numbered)


def likelihood(knowledge: Knowledge, word: str) -> str:
    """A likelihood word with the number behind it."""
    return f"{spoken(word)} ({in_hundred(knowledge.probability(word))})"


# ------------------------------------------------------------------ causes


def _cause(known, complaint, name, cause: schema.Cause):
    tell_tale = sorted(
        cause.shows.items(),
        key=lambda show: -max(map(known.probability, show[1].values()), default=0.0),
    )
    shown = [Line(_shown(known, check, outcomes), (CHECK, check)) for check, outcomes in tell_tale]
    mends = [
        Line(f"{known.actions[a].name}: {likelihood(known, word)}", (ACTION, a))
        for a, word in cause.mended_by.items()
    ]
    on = [
        Line(f"{known.causes[other].name}. {known.shifts[word].says}", (CAUSE, other))
        for other, word in cause.promotes.items()
    ]
    by = [
        Line(f"{entry.name}. {known.shifts[entry.promotes[name]].says}", (CAUSE, other))
        for other, entry in known.causes.items()
        if name in entry.promotes
    ]  # fmt: skip
    odds = [
        f"{context.name}: {known.shifts[context.shifts[name]].says}"
        for context in known.contexts.values()
        if name in context.shifts
    ]
    others = [
        f"{known.symptoms[s].name}: {spoken(word)}"
        for s, word in cause.seen_with.items()
        if s != complaint
    ]
    sections = (
        _section("How it comes about", [cause.mechanism]),
        _section("Note", [cause.note]),
        _section("How common it is", _common(known, complaint, cause)),
        _section("Only on these boilers", _only(known, cause)),
        _section("What it shows, the likeliest first", shown),
        _section("What mends it", mends),
        _section("It makes more or less likely", on),
        _section("More or less likely with", by),
        _section("Circumstances that change its odds", odds),
        _section("Other complaints it brings", others),
    )
    return f"Cause. System: {SYSTEMS[cause.system].lower()}.", sections


def _common(known, complaint, cause):
    word = cause.seen_with.get(complaint)
    if word:
        yield f"With this complaint: {spoken(word)}. {known.commonness[word].says}"
    else:
        yield "It is not listed as bringing this complaint."
    yield f"Without any complaint: {known.standing[cause.standing].says}"


def _shown(known, check, outcomes) -> str:
    said = known.checks[check].outcomes
    parts = (f"'{said[o].says}' {likelihood(known, word)}" for o, word in outcomes.items())
    return f"{known.checks[check].name}: {'; '.join(parts)}"


def _only(known, entry):
    for fact, choices in entry.only_if.items():
        named = known.facts[fact].choices or {}
        yield f"{known.facts[fact].name}: {' or '.join(named.get(c, c) for c in choices)}"


# ------------------------------------------------------------------ checks and repairs


def _check(known, complaint, name, check: schema.Check):
    suits = [known.symptoms[s].name for s in check.only_with]
    sections = [
        _section("What it asks", [check.asks, _derived(check)]),
        _section("What it takes", _takes(known, check)),
        _section("Only on these boilers", _only(known, check)),
        _section("Only with these complaints", suits),
        _section("How", check.how, numbered=True),
        _section("Often done wrong", check.mistakes),
    ]
    for outcome, entry in check.outcomes.items():
        lines = [entry.means, DANGER if entry.danger else "", *_sound(known, entry)]
        lines += _who_shows(known, complaint, name, outcome)
        sections.append(_section(f"Answer: {entry.says}", lines))
    return "Check.", tuple(sections)


def _derived(check) -> str:
    return "It is worked out from other readings, never asked." if check.derived else ""


def _sound(known, outcome):
    if outcome.in_sound_boiler:
        yield f"A sound boiler shows it: {likelihood(known, outcome.in_sound_boiler)}."
    else:
        yield "This is what a sound boiler shows."


def _who_shows(known, complaint, check, outcome):
    """The causes of the complaint that show an answer, the likeliest first; others counted."""
    node = ("outcomes", check, outcome)
    causes = [name for _, name in graphs.pointing(known.graph, node, "shows")]
    words = {name: known.causes[name].shows[check][outcome] for name in causes}
    here = [name for name in causes if complaint in known.causes[name].seen_with]
    for name in sorted(here, key=lambda n: -known.probability(words[n])):
        yield Line(f"{known.causes[name].name}: {likelihood(known, words[name])}", (CAUSE, name))
    if more := len(causes) - len(here):
        said = (
            "1 cause of other complaints shows"
            if more == 1
            else f"{more} causes of other complaints show"
        )
        yield f"{said} it too."


def _action(known, complaint, name, action: schema.Action):
    mends = [
        Line(f"{cause.name}: {likelihood(known, cause.mended_by[name])}", (CAUSE, other))
        for other, cause in known.causes.items()
        if name in cause.mended_by and complaint in cause.seen_with
    ]
    after = [
        Line(
            f"{known.checks[check].name}: "
            + " or ".join(f"'{known.checks[check].outcomes[o].says}'" for o in outcomes),
            (CHECK, check),
        )
        for check, outcomes in action.only_after.items()
    ]
    parts = [f"{p.count} × {p.part}" for p in action.parts]
    sections = (
        _section("Only after", after),
        _section("What it takes", _takes(known, action)),
        _section("Only on these boilers", _only(known, action)),
        _section("Have ready", parts),
        _section("How", action.how, numbered=True),
        _section("Prove afterwards", [known.closing[c].name for c in action.verify]),
        _section("With this complaint it mends", mends),
    )
    return f"Repair. Kind: {spoken(action.kind)}.", sections


def _takes(known, step):
    yield f"About {round(step.minutes)} minutes of hands, without opening and closing."
    yield f"Who may do it: {WHO_MAY[step.who]}."
    if step.access:
        yield f"Must be so: {', '.join(access_names(known, step.access))}."
    if getattr(step, "instrument", None):
        yield f"With: {step.instrument}."
    if getattr(step, "where", None):
        yield f"Where: {step.where}."


def _sources(known, entry):
    for name in entry.source:
        source = known.sources.get(name)
        if source:
            seen = READ.get(source.seen)
            yield f"{source.name}{f' ({seen})' if seen else ''}"

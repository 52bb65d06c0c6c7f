"""The words of a fault path chart: bands with figures and units, first moves, what it was made for.

All readers of a chart share them: text, picture, paper and page.
"""

from collections.abc import Iterable, Mapping
from itertools import pairwise

from engine.knowledge import Knowledge, schema
from engine.knowledge.facts import band_edges, fact_value
from engine.readings.words import rounded
from engine.units.typed_values import usual_spelling
from engine.visit.chart_tree import ON, RARE, REFER, REPAIR, STOP, Answer, Chart, End, Suspect
from engine.visit.opened import word_to_shut
from engine.visit.reasons import in_hundred
from engine.visit.starting import MAIN_FACTS
from engine.visit.state import State
from engine.visit.told import WHO
from engine.visit.view import Next

GO_ON = "go on with the tool, or ask for advice with what was found"
"""What to do where a chart ends before the fault is found."""

DEPTH_REACHED = "As deep as this chart goes"
ANSWERS_RARE = "Every answer from here is seldom"
SIZE_REACHED = "No room left in this chart"

TYPICAL_SIGN = "*"
"""After a band in which a typical limit stands."""

KINDS = {REPAIR: "REPAIR", REFER: "REFER", STOP: "STOP", ON: "GO ON", RARE: "SELDOM"}
"""The word that each kind of end begins with."""

NO_SUBSTITUTE = "No substitute for the maker's instructions, local code and licensed practice."
NO_STATISTICS = (
    "The odds behind it are judgement: no probabilities from the field stand behind this chart."
)
BEYOND = (
    "A value close to a limit, a step that cannot be made, a repair that does not hold its proof: "
    f"{GO_ON}."
)


def too_rare(least: float) -> str:
    """Why a branch is not followed."""
    return f"Fewer than {100 * least:g} in 100 visits come here: {GO_ON}"


# ------------------------------------------------------------------ bands


def bands(
    knowledge: Knowledge, facts: Mapping[str, object], check: schema.Check
) -> dict[str, tuple[str, bool]]:
    """For each outcome of a measured check: its values in words, whether a limit is typical.

    The limits are those of this boiler; empty for a check that is looked at.
    """
    if check.reading is None:
        return {}
    _, quantity, unit = _figure(knowledge, check)
    edges = band_edges(knowledge, facts, check, quantity)
    parts: dict[str, list[str]] = {}
    typical: dict[str, bool] = {}
    for band, (low, high) in zip(check.reading.bands, pairwise([None, *edges, None]), strict=True):
        low_text, high_text = (edge and rounded(edge[0], quantity, unit) for edge in (low, high))
        parts.setdefault(band.outcome, []).append(_between(low_text, high_text))
        stands_in = any(edge and edge[1] for edge in (low, high))
        typical[band.outcome] = typical.get(band.outcome, False) or stands_in
    return {outcome: (" or ".join(parts[outcome]), typical[outcome]) for outcome in parts}


def _between(low, high) -> str:
    if low and high:
        return f"{low} to below {high}"
    return f"{low} or more" if low else f"below {high}"


def in_order(check: schema.Check) -> tuple[str, ...]:
    """The outcomes as a reader looks for them: rising values, else the healthy one first."""
    rising = [band.outcome for band in check.reading.bands] if check.reading else []
    return tuple(dict.fromkeys((*rising, *check.outcomes)))


def figure_title(knowledge: Knowledge, check: schema.Check) -> str:
    """What the bands of a measured check are about; empty for a check that is looked at."""
    return _figure(knowledge, check)[0] if check.reading else ""


def _figure(knowledge, check) -> tuple[str, str, str | None]:
    """(title, quantity, unit) of the banded figure: as read off, where it can be."""
    figures = check.reading.figure
    figure = next((f for f in figures if f.field), figures[0])
    if figure.field:
        read = check.reading.fields[figure.field]
        title, quantity, unit = read.name, read.quantity, figure.unit or read.unit
    else:
        title = figure.calculation.replace("_", " ")
        quantity, unit = knowledge.calculations[figure.calculation].quantity, figure.unit
    return figure.name or title, quantity, unit and usual_spelling(quantity, unit)


# ------------------------------------------------------------------ one place


def first_moves(knowledge: Knowledge, step: Next) -> tuple[str, ...]:
    """What has to be shut, opened or running before a step, in this order."""
    access = knowledge.access
    shut = [f"{access[name].name}: {word_to_shut(access[name])}" for name in step.to_shut]
    return (*shut, *(access[name].name for name in step.to_open))


def answer_words(answer: Answer) -> str:
    """What one sees, with the values that mean it."""
    if not answer.band:
        return answer.says
    return f"{answer.says}: {answer.band}{TYPICAL_SIGN if answer.typical else ''}"


def end_words(end: End) -> str:
    """An end in one line."""
    aim = f", for: {end.aim}" if end.aim else ""
    text = end.says.removeprefix("Stop: ") if end.kind == STOP else end.says
    text = f"{text}: {GO_ON}" if end.kind == ON else text
    return f"{KINDS[end.kind]}  {text}{aim}"


def details(end: End) -> tuple[tuple[str, str], ...]:
    """What else an end says: title and text of each line that has something to say."""
    proof = "Then prove" if end.kind == REPAIR else "Before leaving, prove"
    return tuple(
        (title, text)
        for title, text in (
            ("Have ready", ", ".join(end.bring)),
            (proof, "; ".join(end.prove)),
            ("Suspects", suspects_words(end.suspects)),
            ("Next check", end.onward),
            ("Who acts now", end.who_acts.rstrip(".")),
        )
        if text
    )


def act_of(caution: str) -> str:
    """What a caution says to do, without its reason.

    Examples
    --------
    >>> act_of("Wear gloves before that. The door holds its heat.")
    'Wear gloves before that.'
    """
    act, stop, _ = caution.partition(". ")
    return act + stop.strip()


HAZARDS = {
    "gas": "gas", "flue_gas": "flue gas", "mains": "mains", "hot": "hot parts", "acid": "acid",
    "fibre": "fibres", "height": "height", "moving": "moving parts", "sharp": "sharp edges",
    "water": "water", "damage": "damage",
}  # fmt: skip
"""What a caution is about, for one who looks its sentence up by its number."""


def suspects_words(suspects: Iterable[Suspect]) -> str:
    """Suspects on one line, each with word and number."""
    return ", ".join(f"{s.name} ({s.word}, {in_hundred(s.probability)})" for s in suspects)


# ------------------------------------------------------------------ the whole chart


def to_begin(knowledge: Knowledge, state: State) -> tuple[str, ...]:
    """What to ask and what to leave before the first check."""
    symptoms = [knowledge.symptoms[name] for name in state.symptoms]
    contexts = [knowledge.contexts[name] for name in state.contexts]
    # The first words of a danger sign end a call; after it was made safe they are past.
    spoken = [s for s in symptoms if not (s.danger and state.made_safe)]
    lines = [symptom.first_words for symptom in spoken]
    lines += [f"{context.name}: {context.first}" for context in contexts if context.first]
    lines += [text for symptom in symptoms for text in symptom.do_not]
    return tuple(line for line in lines if line)


def stated_facts(knowledge: Knowledge, state: State) -> tuple[str, ...]:
    """The facts that were entered, each with its value."""
    return tuple(
        f"{knowledge.facts[name].name}: {(knowledge.facts[name].choices or {}).get(typed, typed)}"
        for name, typed in state.typed_facts.items()
    )


def facts_not_known(knowledge: Knowledge, state: State) -> tuple[str, ...]:
    """The main facts that were not entered."""
    asked = [name for name in MAIN_FACTS if name in knowledge.facts]
    return tuple(knowledge.facts[name].name for name in asked if name not in state.facts)


def stand_ins(
    knowledge: Knowledge, facts: Mapping[str, object], checks: Iterable[str]
) -> tuple[str, ...]:
    """The typical values that stand in the bands of some checks, as nothing else was entered."""
    names: list[str] = []
    for check in checks:
        reading = knowledge.checks[check].reading
        for band in reading.bands if reading else ():
            if band.below and band.below.fact:
                names.append(band.below.fact)
            elif band.below and band.below.by_fuel:
                names.append("fuel")
    found = []
    for name in dict.fromkeys(names):
        fact = knowledge.facts[name]
        value, typical = fact_value(knowledge, facts, name)
        if typical and value is not None:
            shown = fact.choices[value] if fact.choices else _shown(fact, value)
            found.append(f"{fact.name}: {shown}")
    return tuple(found)


def _shown(fact, value) -> str:
    return rounded(value, fact.quantity, usual_spelling(fact.quantity, fact.unit))


def title(chart: Chart) -> str:
    """The complaint that a chart is about."""
    return f"Fault paths: {' and '.join(chart.complaints)}"


def made_for(chart: Chart) -> tuple[str, ...]:
    """Which boiler, which knowledge, and what the chart is not: one sentence a line."""
    lines = [f"For: {WHO[chart.setup.who]}."]
    lines.append(f"Boiler: {'; '.join(chart.facts) or 'nothing entered'}.")
    if chart.not_known:
        lines.append(f"Not entered: {'; '.join(chart.not_known)}.")
    if chart.circumstances:
        lines.append(f"What is so here: {', '.join(chart.circumstances)}.")
    if chart.stand_ins:
        lines.append(
            f"{TYPICAL_SIGN} Typical figures stand in where the boiler's own were not entered; "
            f"check the plate or manual: {'; '.join(chart.stand_ins)}."
        )
    lines.append(
        f"Knowledge {chart.version}. {_checks(chart)}, up to {chart.longest()} in a row; "
        f"visits that come to an end inside the chart: {in_hundred(chart.ended)}."
    )
    return (*lines, NO_STATISTICS, BEYOND, NO_SUBSTITUTE)


def _checks(chart: Chart) -> str:
    number = len(chart.steps())
    return f"{number} check{'' if number == 1 else 's'}"


def danger_line(chart: Chart) -> str:
    """The signs that end everything, whatever step one stands at."""
    return f"STOP AT ONCE, whatever the step: {'; '.join(chart.danger_signs)}."

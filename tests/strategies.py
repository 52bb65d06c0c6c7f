"""Random visits that the knowledge allows: whatever a person could have entered."""

from hypothesis import strategies as st

from engine import safety, units
from engine.errors import SightportError
from engine.knowledge.schema import WHO
from engine.visit import events as happened
from engine.visit.opened import open_closing
from engine.visit.state import fold, live
from engine.visit.taking import check_event

UNDO = "undo"

PEOPLE = st.sampled_from((*WHO, "technician"))


def plain_symptoms(knowledge):
    """Complaints that are no danger signs."""
    return st.sampled_from([n for n, s in knowledge.symptoms.items() if not s.danger])


def dangers(knowledge):
    """An event that brings a danger sign: a complaint, or an outcome seen."""
    reported = [
        happened.SymptomReported(symptom=name)
        for name, symptom in knowledge.symptoms.items()
        if symptom.danger
    ]
    found = [
        happened.Found(check=name, outcome=outcome)
        for name, check in knowledge.checks.items()
        for outcome, entry in check.outcomes.items()
        if entry.danger and not check.derived
    ]
    return st.sampled_from(reported + found)


def facts(knowledge):
    """A choice, or a plausible value as somebody would type it."""
    return st.sampled_from(sorted(knowledge.facts)).flatmap(
        lambda name: _fact_text(knowledge.facts[name]).map(
            lambda text: happened.FactStated(fact=name, value=text)
        )
    )


def _fact_text(fact):
    if fact.choices is not None:
        return st.sampled_from(sorted(fact.choices))
    low, high = fact.plausible or (f"1 {fact.unit}", f"10 {fact.unit}")
    return _between(low, high, fact.quantity, fact.unit)


def _between(low, high, quantity, unit):
    """Text of a value between two limits, in the unit that people type."""
    low, high = (units.number_in(units.parse(t, quantity), quantity, unit) for t in (low, high))
    return st.floats(low, high).map(lambda number: f"{number:.6g} {unit}")


def findings(knowledge, who="technician", harmless=True):
    """An outcome of any check of this person, or plausible values of a measured one."""
    return st.sampled_from(_checks(knowledge, who)).flatmap(
        lambda name: _finding(knowledge, name, harmless)
    )


def outcomes(knowledge, who="technician", harmless=True):
    """An outcome of any check of this person, as seen."""
    return st.sampled_from(_checks(knowledge, who)).flatmap(
        lambda name: _seen(knowledge.checks[name], name, harmless)
    )


def _checks(knowledge, who):
    return [
        name
        for name, check in knowledge.checks.items()
        if not check.derived and safety.allowed(knowledge, who, "checks", name)
    ]


def _seen(check, name, harmless):
    fitting = [o for o, entry in check.outcomes.items() if not (harmless and entry.danger)]
    return st.sampled_from(fitting).map(lambda o: happened.Found(check=name, outcome=o))


def _finding(knowledge, name, harmless):
    check = knowledge.checks[name]
    outcome = _seen(check, name, harmless)
    if check.reading is None:
        return outcome
    values = st.fixed_dictionaries(
        {
            field: _between(*entry.plausible, entry.quantity, entry.unit)
            for field, entry in check.reading.fields.items()
        }
    ).map(lambda typed: happened.Found(check=name, values=typed, sure=True))
    return outcome | values


def signs_of(knowledge, cause):
    """What each check most likely shows with a cause, danger signs left out."""
    found = []
    for name, shown in knowledge.causes[cause].shows.items():
        check = knowledge.checks[name]
        outcome = max(shown, key=lambda o: knowledge.probability(shown[o]))
        if not check.derived and not check.outcomes[outcome].danger:
            found.append(happened.Found(check=name, outcome=outcome))
    return found


@st.composite
def visits(draw, knowledge, who=PEOPLE, moves=8, harmless=True):
    """A history of numbered events, each accepted when it was entered.

    The first complaint is no danger sign. Some visits follow one cause as far as its repair and
    its proofs; all of them hold findings at random, steps skipped and events undone.
    """
    who = draw(who, label="who")
    symptom = draw(plain_symptoms(knowledge), label="complaint")
    entered = [
        happened.Opened(who=who),
        happened.SymptomReported(symptom=symptom),
        *draw(st.lists(facts(knowledge), max_size=3), label="facts"),
        *draw(st.lists(contexts(knowledge), max_size=2), label="contexts"),
    ]
    if draw(st.booleans(), label="one cause followed"):
        able = [n for n, cause in knowledge.causes.items() if symptom in cause.seen_with]
        cause = draw(st.sampled_from(able), label="cause")
        entered += signs_of(knowledge, cause)
        entered += draw(st.lists(repairs(knowledge, cause), max_size=2), label="repairs")
        entered += draw(st.lists(proofs(knowledge), max_size=4), label="proofs")
    others = (
        findings(knowledge, who, harmless),
        outcomes(knowledge, who, harmless),
        skips(knowledge),
        plain_symptoms(knowledge).map(lambda name: happened.SymptomReported(symptom=name)),
        st.just(UNDO),
    )
    entered += draw(st.lists(st.one_of(others), min_size=moves // 2, max_size=moves), label="moves")
    return accepted(knowledge, entered)


def contexts(knowledge):
    """A circumstance that applies."""
    return st.sampled_from(sorted(knowledge.contexts)).map(
        lambda name: happened.ContextStated(context=name)
    )


def skips(knowledge):
    """A check or action that cannot be done here."""
    return st.sampled_from(sorted({**knowledge.checks, **knowledge.actions})).map(
        lambda name: happened.Skipped(step=name)
    )


def repairs(knowledge, cause):
    """An action that mends a cause."""
    return st.sampled_from(sorted(knowledge.causes[cause].mended_by)).map(
        lambda action: happened.ActionDone(action=action, cause=cause)
    )


def proofs(knowledge):
    """A closing step, passed or failed."""
    return st.sampled_from(sorted(knowledge.closing)).flatmap(
        lambda name: st.booleans().map(lambda well: proof(knowledge, name, well))
    )


def proof(knowledge, name, well=True):
    """The event that fills a closing step, so that it passes or fails without danger."""
    closing = knowledge.closing[name]
    if closing.check is None:
        return happened.Proved(closing=name, words="seen and done", failed=not well)
    fitting = [
        outcome
        for outcome, entry in knowledge.checks[closing.check].outcomes.items()
        if (outcome in closing.passes) == well and not entry.danger
    ]
    return happened.Proved(closing=name, outcome=(fitting or list(closing.passes))[0])


def accepted(knowledge, entered, history=()):
    """The events that the engine takes, numbered as they are stored; others are left out."""
    for event in entered:
        if event == UNDO:
            counted = [n for n, e in live(history) if not isinstance(e, happened.Opened)]
            if not counted:
                continue
            event = happened.TakenBack(event=counted[-1])
        try:
            check_event(knowledge, history, event)
        except SightportError:
            continue
        history = (*history, (len(history) + 1, event))
    return history


def mended(knowledge, cause, action, who="technician"):
    """A visit in which a cause was found by its signs and worked on."""
    symptom = next(iter(knowledge.causes[cause].seen_with))
    entered = [
        happened.Opened(who=who),
        happened.SymptomReported(symptom=symptom),
        *signs_of(knowledge, cause),
        happened.ActionDone(action=action, cause=cause),
    ]
    return accepted(knowledge, entered)


def proven(knowledge, history, most=60):
    """A visit with every open closing step filled, in the order in which they stand open."""
    for _ in range(most):
        still = open_closing(knowledge, fold(knowledge, history))
        if not still:
            break
        history = accepted(knowledge, [proof(knowledge, still[0])], history)
    return history

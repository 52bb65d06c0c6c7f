"""Rules over the words of the knowledge: short steps, one spelling, no names of makers.

Used by `engine.knowledge.review`. Each rule yields (kind, id, what, mend).
"""

import re
from collections import defaultdict
from collections.abc import Iterator

from engine.knowledge import schema
from engine.knowledge.before import cautions
from engine.knowledge.loading import Knowledge
from engine.knowledge.spoken import SPOKEN, TRADE_TERMS

LONGEST_STEP = 25  # words
STEPS_OF_A_CHECK = range(3, 8)

TOOLS = re.compile(
    r"\b(screwdriver|spanner|wrench|multimeter|manometer|(?<!gas )meter|analyser|tester|probe"
    r"|cover off|open the case)\b",
    re.IGNORECASE,
)

SPEAKS_OF = {
    "height": re.compile(r"\bladder\b", re.IGNORECASE),
    "gas": re.compile(r"\b(gas cock|leak fluid)\b", re.IGNORECASE),
    "fibre": re.compile(r"\brespirator\b", re.IGNORECASE),
    "acid": re.compile(r"\bgoggles\b.*\b(bucket|trap|sump|cup)\b", re.IGNORECASE),
}
"""Words in a step that give away a hazard, whether it was declared or not."""

ELSEWHERE = re.compile(
    r"\b(\w*color\w*|analyz\w+|neutraliz\w+|fibers?|centers?|centered|gray\w*|aluminum"
    r"|vapors?|odors?|neighbors?\w*|liters?|mold\w*|plow\w*|behaviors?|favor\w*|labor|draft\w*"
    r"|catalog|gage[sd]?|realiz\w+|stabiliz\w+|pressuriz\w+|recogniz\w+|kilometers?"
    r"|millimeters?|centimeters?)\b",
    re.IGNORECASE,
)
"""Spellings that are not British. Titles of sources keep their own."""

CAPITALS = frozenset({"Btu"})
"""Words that are written with a capital inside a sentence and name nobody."""

_INSIDE = re.compile(r"(?<=[a-z,;] )[A-Z][a-z]+\b|[®™]")


def texts(entry: schema.Entry) -> Iterator[str]:
    """Every sentence of an entry that a person reads."""
    for value in entry.__dict__.values():
        yield from _texts(value)


def _texts(value) -> Iterator[str]:
    if isinstance(value, schema.Entry):
        yield from texts(value)
    elif isinstance(value, dict):
        for part in value.values():
            yield from _texts(part)
    elif isinstance(value, tuple):
        for part in value:
            yield from _texts(part)
    elif isinstance(value, str):
        yield value


def _steps(knowledge):
    """(kind, id, the list of steps) wherever somebody is told what to do."""
    for kind in ("checks", "actions", "closing"):
        for name, entry in getattr(knowledge, kind).items():
            yield kind, name, entry.how
    for name, state in knowledge.access.items():
        yield "access", name, state.open_how + state.close_how


def short_steps(knowledge: Knowledge):
    """A step is read at a glance, and a check or action has three to seven."""
    for kind, name, how in _steps(knowledge):
        for step in how:
            if (words := len(step.split())) > LONGEST_STEP:
                yield (kind, name, f"a step of {words} words: {step[:40]}…",
                       f"one act a step, at most {LONGEST_STEP} words")  # fmt: skip
        if kind in ("checks", "actions") and len(how) not in STEPS_OF_A_CHECK:
            yield (kind, name, f"{len(how)} steps",
                   "write three to seven, in the order of the hands")  # fmt: skip


def plain_for_a_caller(knowledge: Knowledge):
    """Nobody on the phone is asked to use a tool, in the step or in its cautions."""
    for kind in ("checks", "actions"):
        for name, entry in getattr(knowledge, kind).items():
            if entry.who != "caller":
                continue
            warned = (knowledge.cautions[c].says for c in cautions(knowledge, kind, name))
            for text in (getattr(entry, "asks", ""), *entry.how, *entry.say, *warned):
                if found := TOOLS.search(text):
                    yield (kind, name, f"a caller is told of {found[0]!r}: {text[:40]}…",
                           "say it without a tool, or give it to a technician")  # fmt: skip


def words_for_the_phone(knowledge: Knowledge):
    """Whatever a caller may do has words to be read out, and none of them is the trade's own."""
    for name, symptom in knowledge.symptoms.items():
        if symptom.danger and not symptom.danger.say:
            yield ("symptoms", name, "no words to ask for this danger on the phone",
                   "add 'say' under 'danger'")  # fmt: skip
    for kind in SPOKEN:
        for name, entry in getattr(knowledge, kind).items():
            if entry.who != "caller" or getattr(entry, "derived", False):
                continue
            warned = (entry.cautions if kind in ("access", "closing")
                      else cautions(knowledge, kind, name))  # fmt: skip
            for caution in warned:
                if not knowledge.cautions[caution].say:
                    yield (
                        "cautions",
                        caution,
                        f"no words to warn a caller at {name!r}",
                        "add 'say'",
                    )
            if not entry.say:
                yield (kind, name, "no words to read out on the phone", "add 'say'")
            outcomes = getattr(entry, "outcomes", {}).values()
            if not all(outcome.caller_says for outcome in outcomes):
                yield (kind, name, "no words in which a caller would answer",
                       "add 'caller_says' to its outcomes")  # fmt: skip
            for text in (*entry.say, *(text for o in outcomes for text in o.caller_says)):
                if found := TRADE_TERMS.search(text):
                    yield (kind, name, f"a caller hears {found[0]!r}: {text[:40]}…",
                           "say it in words that everybody knows")  # fmt: skip


def hazards_in_words(knowledge: Knowledge):
    """What the words give away as hazardous carries a caution of that hazard."""
    for kind, name, how in _steps(knowledge):
        ids = (getattr(knowledge, kind)[name].cautions if kind == "closing"
               else cautions(knowledge, kind, name))  # fmt: skip
        spoken = {knowledge.cautions[c].hazard for c in ids}
        for hazard, words in SPEAKS_OF.items():
            found = next((match for step in how if (match := words.search(step))), None)
            if found and hazard not in spoken:
                yield (kind, name, f"{found[0]!r} is spoken of, no caution of {hazard!r} stands",
                       "add the hazard and a caution of it")  # fmt: skip


def one_name_each(knowledge: Knowledge):
    """No two entries of a kind, and no check and action, carry the same name."""
    for kinds in (("checks", "actions"), *((k,) for k in schema.KINDS
                                           if k not in ("checks", "actions"))):  # fmt: skip
        holders = defaultdict(list)
        for kind in kinds:
            for name, entry in getattr(knowledge, kind).items():
                title = getattr(entry, "name", None) or getattr(entry, "says", name)
                holders[title.casefold()].append((kind, name))
        for (_, first), *others in holders.values():
            for kind, name in others:
                yield (kind, name, f"the same name as {first!r}",
                       "say in the name what sets them apart")  # fmt: skip
    for name, check in knowledge.checks.items():
        said = [outcome.says.casefold() for outcome in check.outcomes.values()]
        if len(set(said)) < len(said):
            yield ("checks", name, "two of its outcomes say the same",
                   "word each so that nobody can mix them up")  # fmt: skip


def british_spelling(knowledge: Knowledge):
    """One spelling throughout."""
    for kind, name, text in _sentences(knowledge):
        for found in ELSEWHERE.findall(text):
            yield (kind, name, f"{found!r} is not British spelling", "spell it the British way")


def no_brands(knowledge: Knowledge):
    """No maker, model or product is named: nothing wears a capital inside a sentence."""
    for kind, name, text in _sentences(knowledge):
        for found in _INSIDE.findall(text):
            if found not in CAPITALS:
                yield (kind, name, f"{found!r} may name a maker or a product",
                       "say what it is instead")  # fmt: skip


def _sentences(knowledge):
    for kind in schema.KINDS:
        if kind != "sources":  # titles keep their own spelling and names
            for name, entry in getattr(knowledge, kind).items():
                for text in texts(entry):
                    yield kind, name, text


RULES = (
    short_steps, plain_for_a_caller, words_for_the_phone, hazards_in_words, one_name_each,
    british_spelling, no_brands,
)  # fmt: skip

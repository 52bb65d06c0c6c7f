"""The words for the phone: what staff read out, and how somebody without the trade would answer."""

import re
from collections.abc import Iterator

from engine.knowledge import schema

LONGEST_SENTENCE = 25  # words
SPOKEN = ("access", "checks", "actions", "closing")

TRADE_TERMS = re.compile(
    r"\b(condens\w+|terminals?|lock(ed)? ?out|isolat\w+|regulators?|relief|sensing|ionisation"
    r"|electrodes?|ignit\w+|combustion|flue|venturi|exchangers?|siphons?|traps?|purge\w*|firing"
    r"|manifolds?|diverter|vessel|breaker|outlets?|gauges?)\b",
    re.IGNORECASE,
)
"""What a caller need not know the meaning of."""

Problem = tuple[tuple, str, str]  # place inside the entry, what, mend


def check_spoken(kind: str, entry: schema.Entry) -> Iterator[Problem]:
    """What is wrong with the words for the phone of one entry.

    Examples
    --------
    >>> danger = schema.Danger(advice=["Go."], who_acts="They do.", say="word " * 26)
    >>> symptom = schema.Symptom.model_construct(danger=danger)
    >>> [what for _, what, _ in check_spoken("symptoms", symptom)]
    ['a sentence of 26 words to read out']
    """
    if kind == "symptoms" and entry.danger and entry.danger.say:
        yield from _too_long(("danger", "say"), entry.danger.say)
    if kind == "cautions" and entry.say:
        yield from _too_long(("say",), entry.say)
    if kind not in SPOKEN:
        return
    for place, text in enumerate(entry.say):
        yield from _too_long(("say", place), text)
    if entry.say and entry.who != "caller":
        yield ("say",), "words for a caller at a step that no caller may do", "take 'say' out here"
    if kind == "checks":
        yield from _check_answers(entry)


def _check_answers(check):
    answers = {name: o.caller_says for name, o in check.outcomes.items() if o.caller_says}
    for name, texts in answers.items():
        path = ("outcomes", name, "caller_says")
        for place, text in enumerate(texts):
            yield from _too_long((*path, place), text)
        if check.who != "caller":
            yield path, "a caller's answer to a check that no caller makes", "take it out here"
    every = [text.casefold() for texts in answers.values() for text in texts]
    if len(set(every)) < len(every):
        yield (
            ("outcomes",),
            "a caller would put two of its outcomes in the same words",
            "word each 'caller_says' so that nobody can mix them up",
        )
    for name in check.outcomes if answers else ():
        if name not in answers:
            yield (
                ("outcomes", name),
                f"outcome {name!r} does not say how a caller would put it, others do",
                "add 'caller_says'",
            )


def _too_long(path, text):
    if (words := len(text.split())) > LONGEST_SENTENCE:
        yield (
            path,
            f"a sentence of {words} words to read out",
            f"write at most {LONGEST_SENTENCE} words",
        )

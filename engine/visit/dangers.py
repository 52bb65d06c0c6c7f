"""Danger signs of a visit: which stand, and which a licensed technician has made safe.

A sign ends the questions at once. Where the knowledge says what makes it safe, a licensed
technician who has done so may go on, without whatever the sign prevents, until a repair that
answers it is done or the same look comes out well.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from engine import safety
from engine.knowledge import Knowledge
from engine.knowledge.schema import Danger


@dataclass(frozen=True)
class MadeSafe:
    """A sign that was made safe: the complaint, or the check and its outcome, and what was done."""

    symptom: str | None
    check: str | None
    outcome: str | None
    sign: int  # event that brought it
    event: int  # event that made it safe
    words: str


def sign_of(knowledge: Knowledge, state, reported, number: int) -> MadeSafe | None:
    """The danger sign that an event brought, not made safe yet; None where it brought none."""
    symptom = reported.get(number)
    if symptom and knowledge.symptoms[symptom].danger:
        return MadeSafe(symptom, None, None, number, 0, "")
    for finding in state.findings:
        if finding.event == number and finding.outcome and _danger(knowledge, finding):
            return MadeSafe(None, finding.check, finding.outcome, number, 0, "")
    return None


def standing(knowledge: Knowledge, state, reported) -> tuple[str, Danger] | None:
    """The first sign that nobody has made safe."""
    safe = {sign.sign for sign in state.made_safe}
    symptoms = [name for number, name in reported.items() if number not in safe]
    found = [(f.check, f.outcome) for f in state.findings if f.outcome and f.event not in safe]
    return safety.danger(knowledge, symptoms, found)


def unanswered(knowledge: Knowledge, state) -> tuple[MadeSafe, ...]:
    """Signs made safe that no repair and no later look has answered yet."""
    return tuple(sign for sign in state.made_safe if not _answered(knowledge, state, sign))


def _answered(knowledge, state, sign) -> bool:
    if sign.check and any(
        finding.check == sign.check and (finding.event or 0) > sign.event and finding.outcome
        for finding in state.findings
    ):
        return True  # a look that found danger again is a new sign
    mends = {
        action
        for cause in knowledge.causes.values()
        if sign.symptom in cause.seen_with or sign.outcome in cause.shows.get(sign.check, {})
        for action in cause.mended_by
    }
    return any(done.event > sign.event and done.action in mends for done in state.done)


def prevented(knowledge: Knowledge, signs: Iterable[MadeSafe]) -> frozenset[str]:
    """Access states that these signs rule out."""
    return frozenset(
        name
        for sign in signs
        for name in (
            knowledge.symptoms[sign.symptom].prevents
            if sign.symptom
            else knowledge.checks[sign.check].outcomes[sign.outcome].prevents
        )
    )


def name_of(knowledge: Knowledge, sign: MadeSafe) -> str:
    """The sign in words."""
    if sign.symptom:
        return knowledge.symptoms[sign.symptom].name
    check = knowledge.checks[sign.check]
    return f"{check.name}: {check.outcomes[sign.outcome].says}"


def may_go_on(state) -> str:
    """What a licensed technician confirms before going on; empty where nobody may."""
    if not state.danger or state.who != "technician":
        return ""
    return state.danger[1].made_safe or ""


def _danger(knowledge, finding):
    return knowledge.checks[finding.check].outcomes[finding.outcome].danger


__all__ = ["MadeSafe", "may_go_on", "name_of", "prevented", "sign_of", "standing", "unanswered"]

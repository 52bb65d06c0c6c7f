"""The phone desk as its staff use it: calls are taken, read out, answered and booked."""

from engine.knowledge import Knowledge
from tests.browser.person import Person


def takes_call(
    desk: Person, knowledge: Knowledge, name: str, address: str, number: str, complaint: str
) -> int:
    """A new call: who calls, no danger, one complaint in the caller's words; its number."""
    desk.presses("New call")
    desk.writes("Name", name)
    desk.writes("Phone number", number)
    desk.writes("Address", address)
    desk.presses("No to all of these")
    symptom = knowledge.symptoms[complaint]
    desk.writes("What does the boiler do?", symptom.caller_says[0])
    desk.presses(symptom.name)
    return desk.visit


def asked_now(desk: Person, knowledge: Knowledge) -> str:
    """The id of the question on the screen."""
    return next(name for name, check in knowledge.checks.items() if check.name == desk.step)


def reads_out(desk: Person, knowledge: Knowledge, check: str) -> None:
    """The question stands there word for word, as the knowledge has it for the phone."""
    entry = knowledge.checks[check]
    assert desk.step == entry.name
    for sentence in entry.say or (*entry.how, entry.asks):
        desk.sees(f"“{sentence}”")


def is_told(desk: Person, knowledge: Knowledge, check: str, outcome: str) -> None:
    """The caller's answer, tapped by the words in which a caller gives it."""
    answer = knowledge.checks[check].outcomes[outcome]
    desk.presses(f"“{(*answer.caller_says, answer.says)[0]}”")

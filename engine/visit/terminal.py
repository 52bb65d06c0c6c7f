"""A whole visit in a terminal, over the same use cases as the screens.

Every answer is stored before the next line is asked for, so that a visit left in any way (even
by pulling the plug) goes on where it stood.
"""

from collections.abc import Callable

from pydantic import ValidationError

from engine.errors import Implausible, SightportError
from engine.knowledge import Knowledge
from engine.knowledge.wording import in_words
from engine.records import Store
from engine.visit import events as happened
from engine.visit import keeping, reasons, steps, summary, terminal_kit, text
from engine.visit.dangers import may_go_on
from engine.visit.ends import ends_of
from engine.visit.finding_words import nearest_complaints
from engine.visit.job_sheet_kept import kept_job_sheet
from engine.visit.job_sheet_text import as_text
from engine.visit.terminal_kit import (
    COMMANDS,
    HELP,
    by_number,
    make_safe,
    number_of,
    state_instrument,
)
from engine.visit.told import WHO, told
from engine.visit.weighing import against_advised


class _Left(Exception):
    """The person wants to leave; everything is stored already."""


def walk(
    store: Store,
    knowledge: Knowledge,
    number: int | None = None,
    ask: Callable[[str], str] = input,
    say: Callable[[str], None] = print,
) -> int:
    """Begin a visit, or go on with one, until it is closed or left; the exit status.

    Raises
    ------
    UnknownVisit
        If there is no visit of that number.
    """
    if number is not None:
        keeping.read(store, knowledge, number)
    talk = _Talk(store, knowledge, number, ask, say)
    try:
        if number is None:
            talk.start()
        talk.go_on()
    except (_Left, EOFError, KeyboardInterrupt):
        if talk.number is not None:
            say(f"Kept. Go on with: python -m engine visit {talk.number}")
    return 0


class _Talk:
    """One conversation. `chosen` is the step taken instead of the advised one."""

    def __init__(self, store, knowledge, number, ask, say):
        self.store, self.knowledge, self.number = store, knowledge, number
        self.listen, self.say = ask, say
        self.chosen: tuple[str, str, str | None] | None = None
        self.commands = {name: getattr(self, name) for name in COMMANDS}

    # ------------------------------------------------------------------ entering

    def ask(self, question: str) -> str:
        """What the person types, without blanks around it; 'quit' leaves from anywhere."""
        typed = self.listen(question).strip()
        if typed.lower() == "quit":
            raise _Left
        return typed

    def record(self, kind: type, **content) -> bool:
        """Store an event; what is wrong with it is said, an unlikely value asked about."""
        try:
            event = kind(**content)
            keeping.record(self.store, self.knowledge, self.number, event)
        except Implausible as question:
            self.say(str(question))
            if self.ask("Does the value stand? yes, or Enter to give it again: ") != "yes":
                return False
            return self.record(kind, **{**content, "sure": True})
        except ValidationError as error:
            self.say("; ".join(in_words(error.errors()[0], kind)))
            return False
        except SightportError as error:
            self.say(str(error))
            return False
        self.chosen = None
        return True

    def pick(self, question: str, entries: dict[str, str]) -> str | None:
        """One of the entries by number or id; None for Enter."""
        names = list(entries)
        for place, name in enumerate(names, start=1):
            self.say(f"  {place:>2}  {entries[name]}")
        while True:
            typed = self.ask(question)
            if not typed:
                return None
            name = by_number(typed, names)
            if name:
                return name
            self.say(f"Write a number from 1 to {len(names)}.")

    # ------------------------------------------------------------------ the start

    def start(self) -> None:
        who = None
        while who is None:
            who = self.pick("Who holds the tool? ", WHO)
        title = self.ask("A name to find this visit by (Enter for none): ")[:200]
        self.number = keeping.begin(self.store, self.knowledge, who, title)
        self.say(f"Visit {self.number}. Is any of these so?")
        symptoms = self.knowledge.symptoms
        signs = {name: entry.name for name, entry in symptoms.items() if entry.danger}
        sign = self.pick("Number, or Enter for none of these: ", signs)
        if sign:
            self.record(happened.SymptomReported, symptom=sign)
            return
        self.complaint()
        if self.read().state.danger:
            return
        self.facts()
        self.circumstances()
        self.suspicion()

    def complaint(self) -> None:
        known = self.knowledge.symptoms
        plain = {name: entry.name for name, entry in known.items() if not entry.danger}
        names = list(plain)
        self.say("What does the boiler do?")
        for place, name in enumerate(names, start=1):
            self.say(f"  {place:>2}  {plain[name]}")
        while True:
            typed = self.ask("Number, what is said of it in words, or 'service' for none: ")
            if typed.lower() == "service" and terminal_kit.plan_service(self):
                return
            name = by_number(typed, names)
            if typed and not name:
                found = nearest_complaints(self.knowledge, typed)
                near = {n.symptom: known[n.symptom].name for n in found}
                name = self.pick("Which of these? Enter for none: ", near) if near else None
            if name and self.record(happened.SymptomReported, symptom=name):
                return
            self.say("One complaint is needed to begin with.")

    def facts(self) -> None:
        known = self.knowledge.facts
        self.say("What is known of the boiler, one a line, as 'fuel propane' or 'altitude 300 m'.")
        while typed := self.ask("Fact (? lists them, Enter goes on): "):
            if typed == "?":
                for name, fact in known.items():
                    answer = ", ".join(fact.choices) if fact.choices else f"a value in {fact.unit}"
                    self.say(f"  {name}: {answer}")
                continue
            name, _, value = typed.partition(" ")
            self.record(happened.FactStated, fact=name, value=value)

    def circumstances(self) -> None:
        known = {name: entry.name for name, entry in self.knowledge.contexts.items()}
        given = self.read().state.contexts
        if given:
            names = "; ".join(known.pop(name) for name in given)
            self.say(f"So here, by what was said of the boiler: {names}")
        self.say("What else applies?")
        while name := self.pick("Number of one that applies, Enter goes on: ", known):
            if self.record(happened.ContextStated, context=name):
                del known[name]

    def suspicion(self) -> None:
        while typed := self.ask("What do you think it is? Words, Enter for nothing: ").lower():
            near = {
                name: entry.name
                for name, entry in self.knowledge.causes.items()
                if all(word in f"{entry.name} {entry.mechanism}".lower() for word in typed.split())
            }
            name = self.pick("Which of these? Enter for none: ", near) if near else None
            if name and self.record(happened.Suspected, cause=name):
                for sentence in reasons.on_suspicion(self.knowledge, self.read(), name):
                    self.say(sentence)
                return
            self.say("No cause was taken; write other words.")

    # ------------------------------------------------------------------ step by step

    def read(self) -> keeping.Visit:
        return keeping.read(self.store, self.knowledge, self.number)

    def go_on(self) -> None:
        """Step after step until the visit is closed."""
        while True:
            visit = self.read()
            if visit.state.end:
                self.say(as_text(kept_job_sheet(self.store, self.knowledge, visit)))
                return
            if not visit.state.symptoms and visit.state.service is None:
                self.complaint()
                continue
            step = self.step(visit)
            self.show(visit, step)
            while not self.turn(visit, step):
                pass

    def step(self, visit):
        """The step to do now: the chosen one, or the advised one."""
        if self.chosen:
            return steps.taken(self.knowledge, visit, *self.chosen)
        return visit.view.next

    def show(self, visit, step) -> None:
        view = visit.view
        self.say("")
        for line in text.news_lines(self.knowledge, visit):
            self.say(line)
        headline = step.name if step and self.chosen else view.headline
        self.say(headline.upper() if view.status == "stop" else headline)
        if view.status == "stop":
            for line in text.bullets(view.cautions):
                self.say(line)
            self.say("Write 'end' to close the visit, or 'undo' if it was entered by mistake.")
            if confirm := may_go_on(visit.state):
                self.say(f"To go on, only when this is so: {confirm}")
                self.say("Then write 'safe' and what you measured and did.")
            return
        for line in text.suspect_lines(view)[1:]:
            self.say(line)
        if view.at_a_loss:
            self.say(f"  ! {view.at_a_loss}")
        for line in view.unusual:
            self.say(f"  ? {line}")
        if step and step.kind != "refer":
            for line in ("", *text.step_lines(self.knowledge, step)):
                self.say(line)
            if costs := against_advised(self.knowledge, view, step):
                self.say(f"  Chosen by you. {costs}")
            for line in self.answers(step):
                self.say(line)
        else:
            for line in summary.left(self.knowledge, visit.state):
                self.say(f"  ! {summary.LEFT}: {line}")
            self.say("Write 'end' to close the visit, or 'other' for another step.")

    def answers(self, step) -> list[str]:
        """What can be answered to a step."""
        check = self.check_of(step)
        if check:
            outcomes = self.knowledge.checks[check].outcomes.values()
            lines = [f"  {place:>2}  {o.says}" for place, o in enumerate(outcomes, start=1)]
            reading = self.knowledge.checks[check].reading
            if reading:
                first = next(iter(reading.fields.values()))
                left = ", '-' if not measured" if first.optional else ""
                ask = f"{first.name} [{first.unit}{left}]; if only seen, '#' and a number:"
                return [ask, *lines]
            return [self.knowledge.checks[check].asks, *lines]
        if step.kind == "action":
            return ["Write 'done' when it is done."]
        confirm = self.knowledge.closing[step.id].confirm
        return [confirm, "Write what you saw; begin with 'failed' if it did not hold."]

    def check_of(self, step) -> str | None:
        """The check behind a step: its own, or that of a closing step."""
        if step.kind == "proof":
            return self.knowledge.closing[step.id].check
        return step.id if step.kind == "check" else None

    def turn(self, visit, step) -> bool:
        """One line from the person; whether the visit has to be looked at again."""
        typed = self.ask("> ")
        word, _, rest = typed.partition(" ")
        if word.lower() in self.commands:
            return bool(self.commands[word.lower()](visit, step, rest.strip()))
        if not typed:
            self.help(visit, step, "")
            return False
        if step is None or step.kind == "refer":
            self.say("There is nothing to answer here; 'help' lists what can be written.")
            return False
        return self.answer(step, typed)

    def answer(self, step, typed: str) -> bool:
        if step.kind == "action":
            if typed.lower() != "done":
                self.say("Write 'done' when it is done, or 'skip' with the reason.")
                return False
            return self.record(happened.ActionDone, action=step.id, cause=step.cause)
        kind, content = happened.Found, {"check": step.id}
        if step.kind == "proof":
            kind, content = happened.Proved, {"closing": step.id}
        check = self.check_of(step)
        if check:
            return self.record(kind, **content, **self.given(check, typed))
        failed = typed.lower().split()[0].strip(",.:;") == "failed"
        return self.record(kind, **content, words=typed, failed=failed)

    def given(self, check: str, typed: str) -> dict:
        """An answer as the outcome named, or as values of the fields, the others asked for."""
        entry = self.knowledge.checks[check]
        seen = typed.startswith("#") or not entry.reading
        outcome = by_number(typed.lstrip("#"), list(entry.outcomes))
        if outcome and (seen or typed in entry.outcomes):
            return {"outcome": outcome}
        if seen:
            return {"outcome": typed.lstrip("#") or "none"}
        first, *others = entry.reading.fields.items()
        values = {first[0]: "" if typed == "-" else typed}
        for name, field in others:
            left = ", Enter if not measured" if field.optional else ""
            values[name] = self.ask(f"{field.name} [{field.unit}{left}]: ")
        return {"values": {name: text for name, text in values.items() if text.strip()}}

    # ------------------------------------------------------------------ commands

    def undo(self, visit, step, rest) -> bool:
        if rest:
            return self.record(happened.TakenBack, event=number_of(rest) or 0)
        self.chosen = None
        if not keeping.undo(self.store, self.knowledge, self.number):
            self.say("There is nothing left to take back.")
        return True

    def safe(self, visit, step, rest) -> bool:
        return make_safe(self, visit, rest)

    def skip(self, visit, step, rest) -> bool:
        if step is None or step.kind not in ("check", "action"):
            self.say("This cannot be set aside.")
            return False
        return self.record(happened.Skipped, step=step.id, reason=rest)

    def other(self, visit, step, rest) -> bool:
        if visit.state.danger or (visit.view.thought is None and visit.state.service is None):
            self.say("No further step: 'end' closes the visit, 'undo' takes a mistake back.")
            return False
        ranked = terminal_kit.offered(self, visit)
        offers = {offer.id: offer for offer in ranked if offer.kind != "refer"}
        every = {o.id: o for o in steps.all_others(self.knowledge, visit.state, ranked)} | offers
        if not rest:
            lines = {name: offer.line() for name, offer in offers.items()}
            rest = self.pick("Which one? Enter for none: ", lines) or ""
        if rest not in every:
            if rest:
                self.say(f"There is no step {rest!r} for this person on this boiler.")
            return False
        self.chosen = every[rest].kind, rest, every[rest].cause
        return True

    def why(self, visit, step, rest) -> bool:
        if step:
            for sentence in reasons.why(self.knowledge, visit, step):
                self.say(f"  {sentence}")
            if step.kind == "check":
                for answer, then in reasons.leads_to(self.knowledge, visit, step.id):
                    self.say(f"  {answer}: {then}")
        return False

    def found(self, visit, step, rest) -> bool:
        for entry in told(self.knowledge, visit):
            self.say(f"  {entry.number:>3}  {entry.kind}: {entry.text}")
        return False

    def instrument(self, visit, step, rest) -> bool:
        return state_instrument(self, visit, rest)

    def note(self, visit, step, rest) -> bool:
        if not rest:
            self.say("Write the note behind the word: note hums like a truck")
            return False
        return self.record(happened.Noted, text=rest)

    def end(self, visit, step, rest) -> bool:
        ends = {}
        for name, says in ends_of(visit.state).items():
            reason = summary.refused(self.knowledge, visit, name)
            ends[name] = says + (f" (not yet: {reason})" if reason else "")
        name = self.pick("How does it end? Enter goes on with the visit: ", ends)
        if name is None:
            return False
        words = self.ask("To whom, in what state, what else (Enter for nothing): ")
        return self.record(happened.Closed, end=name, words=words)

    def help(self, visit, step, rest) -> bool:
        for line in HELP:
            self.say(f"  {line}")
        return False

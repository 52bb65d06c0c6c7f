"""A visit looked at again, moment by moment: what was advised and believed, and what was done.

A moment is worked out when it is looked at: a look takes as long as a step of a visit, and a long
visit has many. The headings of all moments need no look.
"""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

from engine.errors import OutOfRange
from engine.knowledge import Knowledge
from engine.records import Store
from engine.visit import events as happened
from engine.visit import replay_words as words
from engine.visit.keeping import Visit, readable
from engine.visit.reasons import for_and_against, why
from engine.visit.state import Numbered, fold, still_counting
from engine.visit.told import WHO, minutes_spent, told
from engine.visit.view import View, look

BEGINNING = (
    happened.Opened
    | happened.InstrumentStated
    | happened.FactStated
    | happened.ContextStated
    | happened.Suspected
    | happened.SymptomReported
)
"""What is entered before the first step; together it is the first moment."""

KEPT = 12
"""Looks, and moments, that are kept for going to and fro."""


@dataclass(frozen=True)
class Entry:
    """Something entered. `taken_back` is the moment in which it was, if it was for good."""

    number: int
    kind: str
    text: str
    taken_back: int | None = None

    def line(self) -> str:
        """The entry on one line, with what became of it."""
        gone = f" (taken back later, in moment {self.taken_back})" if self.taken_back else ""
        return f"{self.kind}: {self.text}{gone}"


@dataclass(frozen=True)
class Heading:
    """A moment in the list of all; moments count from 1."""

    number: int
    entries: tuple[Entry, ...]

    def line(self) -> str:
        """What happened, on one line."""
        if self.number > 1:
            return self.entries[0].line()
        complaints = [e.text for e in self.entries if e.kind == "Complaint"]
        return f"Begun: {', '.join(complaints) or 'no complaint yet'}"


@dataclass(frozen=True)
class Advice:
    """What was advised before a moment: the headline, its cautions, and why.

    `compared` says whether that was done, and what the other step cost; empty where an entry was
    no step. `stops` says that a danger sign stood.
    """

    headline: str
    cautions: tuple[str, ...]
    why: tuple[str, ...]
    compared: tuple[str, ...]
    stops: bool


@dataclass(frozen=True)
class Moment:
    """One moment in full. `advice` is missing at the beginning, where nothing was asked yet.

    `before` and `after` are the views of a visit that ended there; `speaks_for` and `against` are
    about the first suspect after it.
    """

    heading: Heading
    advice: Advice | None
    before: View | None
    after: View
    rows: tuple[words.Row, ...]
    changed: tuple[str, ...]
    speaks_for: tuple[str, ...]
    against: tuple[str, ...]
    minutes: float


class Replay:
    """The moments of one visit.

    Parameters
    ----------
    known : Knowledge
    visit : int
    history : sequence of numbered events

    Raises
    ------
    NotAllowed
        If the visit was kept with other knowledge, so that it cannot be told.
    """

    def __init__(self, known: Knowledge, visit: int, history: tuple[Numbered, ...]):
        self._known, self._id, self._history = known, visit, tuple(history)
        self._looks: OrderedDict[int, Visit] = OrderedDict()
        self._moments: OrderedDict[int, Moment] = OrderedDict()
        opening = next(
            (i for i, (_, event) in enumerate(self._history) if not isinstance(event, BEGINNING)),
            len(self._history),
        )
        self._ends = tuple(range(max(opening, 1), len(self._history) + 1))
        with readable(visit):
            self.headings = self._all_headings()

    def at(self, number: int) -> Moment:
        """A moment in full; the look before and after it are worked out now, or remembered.

        Raises
        ------
        OutOfRange
            If there is no such moment.
        """
        last = len(self._ends)
        if number not in range(1, last + 1):
            raise OutOfRange(f"there is no moment {number}; this visit has {last}, from 1 on")
        return _kept(self._moments, number, lambda: self._moment(number))

    def _moment(self, number) -> Moment:
        known, end = self._known, self._ends[number - 1]
        after = self._looked(end)
        before = self._looked(self._ends[number - 2]) if number > 1 else None
        speaks_for, against = (), ()
        if after.view.suspects:
            first = after.view.suspects[0].cause
            speaks_for, against = for_and_against(known, after.view.thought, first)
        return Moment(
            heading=self.headings[number - 1],
            advice=self._advice(before, self._history[end - 1][1]) if before else None,
            before=before.view if before else None,
            after=after.view,
            rows=words.rows(known, before and before.view, after.view),
            changed=words.changed(known, before, after),
            speaks_for=speaks_for[: words.NAMED],
            against=against[: words.NAMED],
            minutes=minutes_spent(known, after),
        )

    def _advice(self, before: Visit, event) -> Advice:
        known, view = self._known, before.view
        reasons = why(known, before, view.next) if view.next else ()
        if view.danger:
            reasons = (f"Who acts: {view.danger.who_acts}",)
        compared = words.compared(known, before, event)
        return Advice(view.headline, view.cautions, reasons, compared, view.danger is not None)

    def _looked(self, end) -> Visit:
        """The visit as it stood after its first `end` events."""
        known, history = self._known, self._history[:end]

        def work_out():
            state = fold(known, history)
            return Visit(self._id, history, state, look(known, state))

        return _kept(self._looks, end, work_out)

    # ------------------------------------------------------------------ headings

    def _all_headings(self) -> tuple[Heading, ...]:
        texts = {number: self._told(place) for place, (number, _) in enumerate(self._history)}
        moments = {}
        start = 0
        for moment, end in enumerate(self._ends, 1):
            moments |= {number: moment for number, _ in self._history[start:end]}
            start = end
        gone = self._taken_back(moments)
        found: dict[int, list[Entry]] = {}
        for number, (kind, text) in texts.items():
            entry = Entry(number, kind, text, gone.get(number))
            found.setdefault(moments[number], []).append(entry)
        return tuple(Heading(moment, tuple(entries)) for moment, entries in found.items())

    def _told(self, place) -> tuple[str, str]:
        """Kind and words of an event as it was told when it was entered."""
        number, event = self._history[place]
        if isinstance(event, happened.TakenBack):
            return self._told_back(event)
        if isinstance(event, happened.Opened):
            return "Begun", WHO[event.who]
        history = self._history[: place + 1]
        visit = Visit(self._id, history, fold(self._known, history), None)
        entry = next(entry for entry in told(self._known, visit) if entry.number == number)
        return entry.kind, entry.text

    def _told_back(self, event) -> tuple[str, str]:
        """What was taken back in the end; taking a taking-back back puts it in place again."""
        places = {number: place for place, (number, _) in enumerate(self._history)}
        back = True
        while isinstance(self._history[places[event.event]][1], happened.TakenBack):
            event, back = self._history[places[event.event]][1], not back
        kind, text = self._told(places[event.event])
        return "Taken back" if back else "Put back", f"{kind}: {text}"

    def _taken_back(self, moments) -> dict[int, int]:
        """For each event that does not count in the end, the moment in which it was taken back."""
        counting = still_counting(self._history)
        return {
            event.event: moments[number]
            for number, event in self._history
            if isinstance(event, happened.TakenBack) and number in counting
        }


def _kept(kept: OrderedDict, key, work_out: Callable):
    """What was worked out for a key before, or now; the least used of many is forgotten."""
    if key not in kept:
        kept[key] = work_out()
        while len(kept) > KEPT:
            kept.popitem(last=False)
    kept.move_to_end(key)
    return kept[key]


def other_knowledge(store: Store, known: Knowledge, visit: int) -> str:
    """A sentence where the visit was begun with another version of the knowledge, else nothing."""
    if store.visit(visit).knowledge == known.version:
        return ""
    return (
        "This visit was begun with another version of the knowledge. Advice and suspects here are "
        "what the present one makes of it, and may not be what was shown then."
    )

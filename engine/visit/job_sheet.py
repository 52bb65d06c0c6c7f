"""The job sheet of a visit: all that whoever leaves signs, and whoever comes next has to know.

Paper (`job_sheet_paper`), mail (`job_sheet_page`) and plain text (`job_sheet_text`) are made of it.
"""

from collections.abc import Iterable, Iterator
from types import MappingProxyType

from engine.knowledge import Knowledge
from engine.visit import events as happened
from engine.visit.chart_words import NO_SUBSTITUTE
from engine.visit.dangers import name_of, unanswered
from engine.visit.job_sheet_findings import (
    Letters,
    Photos,
    entered,
    found,
    instruments,
    marked,
    pointing,
)
from engine.visit.job_sheet_form import JobSheet, Letterhead, Row, Section, Site, lines
from engine.visit.keeping import Visit
from engine.visit.service_words import NO_COMPLAINT
from engine.visit.state import live
from engine.visit.summary import LEFT, MISSING, PROVEN, Summary, summarise
from engine.visit.told import WHO, told

NOT_CLOSED = "Not closed yet"
NO_REASON = "no reason given"
STAYS_OFF = "The burner stays off until a repair that answers this sign is done."
SIGNATURES = ("Technician: name, date, signature", "Customer: name, date, signature")


def job_sheet(
    known: Knowledge,
    visit: Visit,
    letterhead: Letterhead | None = None,
    site: Site | None = None,
    photos: Iterable[str] = (),
    beside: Photos = MappingProxyType({}),
    earlier: Iterable[str] = (),
    labour: str = "",
) -> JobSheet:
    """The job sheet of a visit as it stands.

    Parameters
    ----------
    known : Knowledge
    visit : Visit
    letterhead, site
        Texts from whoever keeps them; without them their lines are left out.
    photos : iterable of str
        Captions of the photos that go with the sheet.
    beside : Photos
        Which of them stand beside which entry.
    earlier : iterable of str
        How the figures stand to those of earlier visits.
    labour : str
        What the time comes to, empty where no rate is known.
    """
    site, summary = site or Site(), summarise(known, visit)
    return JobSheet(
        letterhead=letterhead or Letterhead(),
        visit=visit.id,
        begun=visit.begun,
        last=visit.last,
        ending=happened.ENDS.get(visit.state.end, NOT_CLOSED),
        alarms=_alarms(known, visit),
        sections=(
            *_place(known, visit, site),
            *_work(known, visit, summary, beside),
            *_open(known, visit, summary),
            *_titled("Against earlier visits", earlier),
            *_afterwards(known, visit, photos),
            *_titled("Labour", [labour] if labour else ()),
        ),
        signatures=SIGNATURES,
        foot=_foot(summary),
        made_by=f"Sightport, knowledge {known.version}",
    )


def _titled(title: str, texts: Iterable[str], **form) -> tuple[Section, ...]:
    """A section of paragraphs; none where nothing is said."""
    rows = lines(texts)
    return (Section(title, rows, **form),) if rows else ()


def _alarms(known, visit) -> tuple[Section, ...]:
    """The danger sign that stands, and those made safe."""
    state, alarms = visit.state, ()
    if state.danger:
        name, danger = state.danger
        alarms = _titled(
            f"Stopped for danger: {name}",
            (f"Who acts: {danger.who_acts}", *danger.advice, *danger.do_not),
        )
    waiting = [sign.event for sign in unanswered(known, state)]
    stopped = state.end == "stopped_for_danger" and not state.danger
    for sign in state.made_safe:
        title = f"Danger sign made safe: {name_of(known, sign)}"
        open_still = (f"Not mended yet. {STAYS_OFF}",) if sign.event in waiting else ()
        alarms += _titled(title, (sign.words, *open_still))
    if stopped and alarms:
        first, *others = alarms
        alarms = (*_titled(happened.ENDS[state.end], (first.title,)), first, *others)
    return alarms


def _place(known, visit, site) -> Iterator[Section]:
    """Customer, boiler and what is complained of."""
    state = visit.state
    customer = (site.customer, site.address, site.phone, state.title)
    yield from _titled("Customer", customer, flowing=True)
    facts = [
        f"{known.facts[name].name}: {(known.facts[name].choices or {}).get(text, text)}"
        for name, text in state.typed_facts.items()
    ]
    yield from _titled("Boiler", (site.boiler, *facts), flowing=True)
    contexts = ", ".join(known.contexts[name].name for name in state.contexts)
    thought = ", ".join(known.causes[name].name for name in state.suspected)
    yield from _titled(
        "Complaint",
        (
            *(known.symptoms[name].name for name in state.symptoms),
            NO_COMPLAINT if state.service is not None and not state.symptoms else "",
            f"Circumstances: {contexts}" if contexts else "",
            f"Thought of first: {thought}" if thought else "",
        ),
        flowing=True,
    )


def _work(known, visit, summary: Summary, photos) -> Iterator[Section]:
    """What was found, what it was, what was done, and what proves it."""
    letters = Letters()
    sections = found(known, visit, letters, photos)
    closing = _closing(known, visit, summary, letters, photos)
    yield from _titled("The service", summary.service)
    yield from sections
    yield from instruments(known, visit, letters, (*sections, *closing))
    yield from _titled("What was wrong", summary.wrong, flowing=True)
    yield from _titled("Speaks for it", summary.speaks_for, flowing=True)
    yield from _titled("Speaks against it", summary.against, flowing=True)
    done = [
        f"{entry.text}{pointing(photos, entry.number)}"
        for entry in reversed(told(known, visit))
        if entry.kind == "Done"
    ]
    yield from _titled("Work done", (f"{place}. {text}" for place, text in enumerate(done, 1)))
    yield from _titled("Advised, not done", summary.advised)
    parts = "Parts used" if done else "Parts needed"
    yield from _titled(parts, summary.parts, flowing=True)
    if summary.compared:
        pairs = tuple(Row((pair.name, pair.before, pair.after)) for pair in summary.compared)
        yield Section("As found, as left", pairs, ("What", "As found", "As left"), (42, 59, 59))
    yield from closing
    yield from _titled("Cautions", summary.cautions, flowing=True)


def _closing(known, visit, summary, letters, photos) -> tuple[Section, ...]:
    if not summary.closing:
        return ()
    by_event = {finding.event: finding for finding in visit.state.findings}
    proofs = {proof.closing: proof.event for proof in visit.state.proofs}
    rows = []
    for closing in summary.closing:
        proven = closing.stands == PROVEN
        proof = proofs.get(closing.id)
        finding = by_event.get(proof)
        stands = closing.stands if proven else f"{closing.stands.upper()}."
        inputs = entered(known, finding) if finding else ""
        said = "; ".join(filter(None, (inputs, closing.words)))
        words = (
            f"{stands}: {said}"
            if proven
            else " ".join(filter(None, (stands, _sentence(said), *closing.why)))
        )
        name = f"{closing.name}{pointing(photos, proof)}"
        rows.append(Row((name, marked(words), letters.of(finding)), box=proven))
    head = ("To be proven", "How it stands", "By")
    return (Section("Closing checks", tuple(rows), head, (58, 102, 7)),)


def _sentence(text: str) -> str:
    """Words with a full stop, so that a sentence can follow."""
    return text if not text or text.endswith((".", "!", "?")) else f"{text}."


def _open(known, visit, summary) -> Iterator[Section]:
    """What was not done, not put right and not proven."""
    yield from _titled("Set aside, not done", _set_aside(known, visit))
    yield from _titled("Not done of the service", summary.left_out)
    waiting = (
        f"Made safe, not mended: {name_of(known, s)}" for s in unanswered(known, visit.state)
    )
    yield from _titled(LEFT, (*summary.left, *waiting))
    still_open = [
        closing.name if closing.stands == MISSING else f"{closing.name} ({closing.stands})"
        for closing in summary.closing
        if closing.stands != PROVEN
    ]
    yield from _titled("Not proven yet", still_open, flowing=True)


def _set_aside(known, visit) -> list[str]:
    """Steps that were skipped and never taken up again, with the reason."""
    reasons: dict[str, str] = {}
    for _, event in live(visit.history):
        match event:
            case happened.Skipped():
                reasons[event.step] = event.reason
            case happened.Found():
                reasons.pop(event.check, None)
            case happened.ActionDone():
                reasons.pop(event.action, None)
            case happened.Proved():
                reasons.pop(known.closing[event.closing].check, None)
    return [
        f"{(known.checks.get(step) or known.actions[step]).name}: {reason or NO_REASON}"
        for step, reason in reasons.items()
    ]


def _afterwards(known, visit, photos) -> Iterator[Section]:
    """Notes, photos, and how the visit ended."""
    entries = reversed(told(known, visit))
    notes = [
        entry.text if entry.kind == "Note" else f"{entry.kind} {entry.text}"
        for entry in entries
        if entry.kind in ("Note", "Handed over")
    ]
    yield from _titled("Notes", notes)
    numbered = (f"{place}: {caption}" for place, caption in enumerate(photos, 1))
    yield from _titled("Photos with it", numbered, flowing=True)
    ending = happened.ENDS.get(visit.state.end, NOT_CLOSED)
    words = f"{ending}: {visit.state.end_words}" if visit.state.end_words else f"{ending}."
    yield from _titled("How it ended", (words, f"Worked: {WHO[visit.state.who]}"), flowing=True)


def _foot(summary) -> str:
    said = [text.casefold() for text in summary.governs]
    governs = "; ".join(
        text for text in summary.governs if sum(text.casefold() in other for other in said) == 1
    )
    return (
        f"{NO_SUBSTITUTE} What counts before all of this: {governs}." if governs else NO_SUBSTITUTE
    )


__all__ = ["JobSheet", "Letterhead", "Row", "Section", "Site", "job_sheet"]

"""The job sheet of a stored visit with what is kept beside it: company, customer, photos, years."""

from engine.knowledge import Knowledge
from engine.records import Store, cards
from engine.visit.job_sheet import job_sheet
from engine.visit.job_sheet_form import JobSheet, Letterhead, Site
from engine.visit.keeping import Visit
from engine.visit.photographs import of_event, of_visit
from engine.visit.preferences import Preferences, preferences
from engine.visit.told import minutes_spent
from engine.visit.trends import trends


def kept_job_sheet(store: Store, known: Knowledge, visit: Visit) -> JobSheet:
    """The job sheet of a visit as it stands, with everything that is kept for it."""
    stored, settings = store.visit(visit.id), preferences(store)
    photographs = of_visit(store, known, visit)
    letterhead = Letterhead(settings.company, settings.address, settings.phone, settings.licence)
    return job_sheet(
        known, visit, letterhead, _site(store, stored),
        photos=[photograph.line() for photograph in photographs],
        beside=_beside(photographs),
        earlier=_earlier(store, known, stored),
        labour=labour(settings, minutes_spent(known, visit)),
    )  # fmt: skip


def labour(settings: Preferences, minutes: float) -> str:
    """What the time comes to at the labour rate; empty where no rate is set.

    Examples
    --------
    >>> labour(Preferences(labour_rate=80, currency="EUR"), 90)
    'About 90 minutes by the usual times of the steps, at 80 EUR an hour: 120 EUR'
    """
    if settings.labour_rate is None or not minutes:
        return ""
    unit = f" {settings.currency}" if settings.currency else ""
    price = round(settings.labour_rate * minutes / 60)
    return (
        f"About {round(minutes)} minutes by the usual times of the steps, "
        f"at {settings.labour_rate:g}{unit} an hour: {price}{unit}"
    )


def _beside(photographs) -> dict[int, tuple[int, ...]]:
    """Places of the photos, from 1 on, by the entry beside which they stand."""
    entries = {photo.entry for photo in photographs if photo.entry is not None}
    return {
        entry: tuple(photographs.index(photo) + 1 for photo in of_event(photographs, entry))
        for entry in entries
    }


def _site(store, stored) -> Site:
    boiler = cards.boiler(store, stored.boiler) if stored.boiler is not None else None
    number = stored.customer if stored.customer is not None else boiler and boiler.customer
    owner = cards.customer(store, number) if number is not None else None
    return Site(
        customer=owner.name if owner else "",
        address=owner.address if owner else "",
        phone=owner.phone if owner else "",
        boiler=", ".join(filter(None, (boiler.name, boiler.place))) if boiler else "",
    )


def _earlier(store, known, stored) -> tuple[str, ...]:
    """How the figures of this visit stand to those of earlier visits to the same boiler."""
    if stored.boiler is None:
        return ()
    lines = []
    for trend in trends(store, known, stored.boiler):
        here = [place for place, p in enumerate(trend.points) if p.visit == stored.id]
        if here and here[0] > 0:
            last, now = trend.points[here[0] - 1], trend.points[here[-1]]
            lines.append(f"{trend.name}: {last.shown} on {last.at:%Y-%m-%d}, now {now.shown}")
    return tuple(lines)

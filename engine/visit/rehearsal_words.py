"""What a rehearsal of the knowledge came to, in words and rows, for every reader alike."""

from collections.abc import Collection, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import lru_cache
from pathlib import Path

from engine.knowledge import Knowledge
from engine.visit import rehearsal
from engine.visit.keeping import knowledge
from engine.visit.rehearsal import Rehearsed

HEAD = ("Cause", "Beside it", "Complaint", "First", "Mended", "Referred", "Stopped",
        "Minutes")  # fmt: skip

OWN_MODEL = (
    "The boilers answer by this same knowledge: this tells whether it can be worked with, not "
    "whether it is true."
)


@lru_cache(maxsize=1)
def _held(folder: Path) -> Knowledge:
    return knowledge(folder)


def _one(folder: Path, setting: tuple[str, str], visits: int) -> Rehearsed:
    return rehearsal.rehearse(_held(folder), *setting, visits)


def rehearsed(
    folder: Path, settings: Collection[tuple[str, str]], visits: int, jobs: int = 1
) -> Iterator[Rehearsed]:
    """The rehearsals of a folder of knowledge, each as it is done; `jobs` processes at once."""
    if jobs == 1:
        yield from (_one(folder, setting, visits) for setting in settings)
        return
    count = len(settings)
    with ProcessPoolExecutor(jobs) as pool:
        yield from pool.map(_one, [folder] * count, settings, [visits] * count)


def row(known: Knowledge, one: Rehearsed) -> tuple[str, ...]:
    """The cells of one rehearsal, under `HEAD`."""
    return (
        known.causes[one.cause].name,
        known.causes[one.beside].name if one.beside else "alone",
        known.symptoms[one.complaint].name,
        _share(one.first),
        _share(one.mended),
        _share(one.referred),
        _share(one.stopped),
        f"{one.minutes:.0f}",
    )


def _share(share) -> str:
    return f"{100 * share:.0f} %"


def sentences(known: Knowledge, done: Collection[Rehearsed]) -> tuple[str, ...]:
    """What all rehearsals together come to."""
    if not done:
        return ()
    visits = sum(one.visits for one in done)
    mended = sum(one.visits * one.mended for one in done) / visits
    first = sum(one.visits * one.first for one in done) / visits
    minutes = sum(one.visits * one.minutes for one in done) / visits
    return (
        f"{len(done)} rehearsals, {visits} visits: the cause was the first suspect before the "
        f"first repair in {_share(first)}, and mended in {_share(mended)}, in {minutes:.0f} "
        "minutes.",
        OWN_MODEL,
    )


def as_text(known: Knowledge, done: Collection[Rehearsed], whole: bool) -> str:
    """For a terminal, the hardest to find first; `whole` where no cause was left out."""
    hardest = sorted(done, key=lambda one: (one.mended, one.first, -one.minutes))
    rows = [HEAD, *(row(known, one) for one in hardest)]
    widths = [max(len(cells[i]) for cells in rows) for i in range(len(HEAD))]
    lines = [
        "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()
        for cells in rows
    ]
    lines += ["", *sentences(known, done), "", *_orders(known)]
    if whole:
        lines += ["", *_unasked(known, done)]
    return "\n".join(lines)


def _orders(known) -> list[str]:
    found = [
        f"{known.symptoms[symptom].name}: '{known.causes[cause].name}' is said to be commoner than "
        f"'{known.causes[other].name}', and is believed less likely."
        for symptom, cause, other in rehearsal.out_of_order(known)
    ]
    return found or ["With every complaint its commonest causes come out as they are stated."]


def _unasked(known, done) -> list[str]:
    never = rehearsal.never_asked(known, done)
    if not never:
        return ["Every check was worth its minutes in some visit."]
    return [f"Never worth their minutes in these visits: {len(never)} checks",
            *(f"  {name}: {known.checks[name].name}" for name in never)]  # fmt: skip

"""The use cases on the command line.

``python -m engine COMMAND``: chart, consult, erase, export, import, list, plan, readings, review,
sheet, visit.
"""

import argparse
import json
import sys
from pathlib import Path

from engine.errors import SightportError
from engine.visit import consult as consulting
from engine.visit import keeping, listing, text

OK, PROBLEMS, UNUSABLE = 0, 1, 2


def main(arguments: list[str] | None = None) -> int:
    """Run one command; its exit status: 0 answered, 1 the review found problems, 2 unusable."""
    options = _parser().parse_args(arguments)
    for stream in (sys.stdout, sys.stderr):  # a console that lacks a sign shows its number
        stream.reconfigure(errors="backslashreplace")
    try:
        if options.run is _plan:  # its problem holds all that there is to know
            return _plan(options)
        known = keeping.knowledge(options.knowledge)
        return options.run(known, options)
    except SightportError as error:
        print(error, file=sys.stderr)
        return UNUSABLE
    except BrokenPipeError:  # the reader has seen enough
        sys.stderr.close()
        return OK


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m engine",
        description="Find what is wrong with a gas-fired condensing boiler. No substitute for "
        "the maker's instructions, local code and licensed practice.",
    )
    parser.add_argument(
        "--knowledge", type=Path, default=keeping.knowledge_folder(), metavar="FOLDER",
        help="another folder of knowledge than the shipped one",
    )  # fmt: skip
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    consult = commands.add_parser("consult", help="answer one case from a YAML file")
    consult.add_argument("case", type=Path, metavar="CASE.yaml")
    consult.add_argument("--json", action="store_true", help="print the whole view as JSON")
    consult.set_defaults(run=_consult)

    listed = commands.add_parser("list", help="print what the knowledge holds")
    listed.add_argument("kind", choices=listing.KINDS)
    listed.add_argument("--json", action="store_true", help="print as JSON, with details")
    listed.set_defaults(run=_list)

    plan = commands.add_parser("plan", help="solve a troubleshooting problem from a JSON file")
    plan.add_argument("problem", type=Path, metavar="PROBLEM.json")
    plan.add_argument(
        "--visits", type=_two_or_more, metavar="N",
        help="simulate so many visits where no exact figure is possible, however long it takes",
    )  # fmt: skip
    plan.add_argument("--seed", type=_none_or_more, default=1, metavar="S", help="of these visits")
    plan.add_argument(
        "--most-places", type=_none_or_more, default=20_000, metavar="N",
        help="look at so many places for an exact figure; 0 simulates always",
    )  # fmt: skip
    plan.set_defaults(run=_plan)

    readings = commands.add_parser("readings", help="say what instruments show, without a visit")
    readings.add_argument("sheet", nargs="?", help="which sheet; without it they are listed")
    readings.add_argument(
        "values", nargs="*", metavar="NAME=VALUE",
        help="an entry of the sheet or a fact of the boiler with its unit, such as 'o2=5.0 %%'",
    )  # fmt: skip
    readings.add_argument("--fuel", default="", help="the gas, where its composition is known")
    readings.add_argument("--rate", default="", help="the firing rate, where it matters")
    readings.add_argument("--json", action="store_true", help="print as JSON")
    readings.set_defaults(run=_readings)

    chart = commands.add_parser("chart", help="print the fault paths of a complaint")
    chart.add_argument("complaint", metavar="COMPLAINT", help="its id; see 'list symptoms'")
    chart.add_argument("--depth", type=int, default=12, help="most checks in a row (12)")
    chart.add_argument("--places", type=int, default=40, help="most checks in all (40)")
    chart.add_argument("--who", default="technician", help="who makes the checks")
    chart.add_argument(
        "--fact", action="append", default=[], metavar="NAME=VALUE", help="of the boiler"
    )
    chart.add_argument(
        "--context", action="append", default=[], metavar="NAME", help="what is so there"
    )
    chart.add_argument("--dot", type=Path, metavar="FILE", help="write it for Graphviz too")
    chart.add_argument("--pdf", type=Path, metavar="FILE", help="write it for the toolbox too")
    chart.add_argument("--paper", default="a4", help="of the PDF: a4 or letter (a4)")
    chart.add_argument("--json", action="store_true", help="print as JSON")
    chart.set_defaults(run=_chart)

    review = commands.add_parser("review", help="say where the knowledge is thin")
    review.add_argument("--json", action="store_true", help="print as JSON")
    review.add_argument(
        "--rehearse", type=_at_least(1), metavar="N",
        help="follow the advice on N boilers for every cause, alone and beside its companions",
    )  # fmt: skip
    review.add_argument("--causes", nargs="+", default=(), metavar="CAUSE", help="of these only")
    review.add_argument("--jobs", type=_at_least(1), default=1, help="processes at once (1)")
    review.set_defaults(run=_review)

    sheet = commands.add_parser("sheet", help="print the job sheet of a visit")
    sheet.add_argument(
        "number", type=_visit_number, metavar="VISIT", help="the number of the visit"
    )
    sheet.add_argument("--pdf", type=Path, metavar="FILE", help="write it for the printer instead")
    sheet.add_argument("--html", type=Path, metavar="FILE", help="write it for mail instead")
    sheet.add_argument("--paper", default="a4", help="of the PDF: a4 or letter (a4)")
    sheet.set_defaults(run=_sheet)

    export = commands.add_parser("export", help="print a visit or a boiler as a file (JSON)")
    what = export.add_mutually_exclusive_group(required=True)
    what.add_argument("--visit", type=int, metavar="N", help="one visit")
    what.add_argument("--boiler", type=int, metavar="N", help="a boiler with all visits to it")
    what.add_argument("--schema", action="store_true", help="the form of such files")
    export.add_argument("--nameless", action="store_true", help="without title and customer")
    export.set_defaults(run=_export)

    bring = commands.add_parser("import", help="store the visits of such a file")
    bring.add_argument("file", type=Path, metavar="FILE.json")
    bring.set_defaults(run=_import)

    erase = commands.add_parser("erase", help="take away visits that ended long ago, for good")
    erase.add_argument(
        "--older-than-years", type=_years, required=True, metavar="N",
        help="with their photos, boilers without a younger visit, people without anything else",
    )  # fmt: skip
    erase.add_argument("--yes", action="store_true", help="erase; without it they are listed only")
    erase.set_defaults(run=_erase)

    visit = commands.add_parser("visit", help="walk a visit in this terminal")
    visit.add_argument("number", type=int, nargs="?", help="go on with this visit")
    visit.set_defaults(run=_visit)
    return parser


def _at_least(least: int):
    def number(text: str) -> int:
        if not text.isdecimal() or int(text) < least:
            raise argparse.ArgumentTypeError(f"a whole number from {least} up is needed")
        return int(text)

    return number


_none_or_more, _two_or_more = _at_least(0), _at_least(2)


def _years(text: str) -> int:
    if len(text) > 3:
        raise argparse.ArgumentTypeError("nothing is so many years old")
    return _at_least(1)(text)


def _visit_number(text: str) -> int:
    if len(text) > 9:  # more than any database counts up to
        raise argparse.ArgumentTypeError("there is no visit of so high a number")
    return _at_least(1)(text)


def _consult(known, options) -> int:
    _, view = consulting.consult(known, options.case)
    if options.json:
        print(json.dumps(consulting.as_json(known, view), indent=2))
    else:
        print(text.as_text(known, view))
    return OK


def _list(known, options) -> int:
    entries = listing.entries(known, options.kind)
    if options.json:
        print(json.dumps(entries, indent=2))
    else:
        width = max((len(entry["id"]) for entry in entries), default=0)
        for entry in entries:
            print(f"{entry['id']:<{width}}  {entry['name']}")
    return OK


def _plan(options) -> int:
    from engine.planner import solving

    answer = solving.solve(options.problem, options.visits, options.seed, options.most_places)
    print(json.dumps(answer, indent=2))
    return OK


def _readings(known, options) -> int:
    from engine.readings import text as plain
    from engine.readings import typed

    if not options.sheet:
        print(plain.sheets())
    elif not options.values:
        print(plain.entries(options.sheet))
    else:
        report = typed.report(known, options.sheet, options.values, options.fuel, options.rate)
        text_form = json.dumps(plain.as_json(report), indent=2) if options.json else None
        print(text_form or plain.as_text(report))
    return OK


def _chart(known, options) -> int:
    from datetime import date

    from engine.visit import chart_paper, chart_picture, chart_text, chart_typed
    from engine.visit.chart import Setup, compile_chart

    facts = chart_typed.facts_of(options.fact)
    setup = Setup((options.complaint,), options.who, facts, tuple(options.context))
    told = _count_places if sys.stderr.isatty() else None
    chart = compile_chart(known, setup, options.depth, options.places, progress=told)
    form = chart_text.as_json(chart) if options.json else None
    print(json.dumps(form, indent=2) if form else chart_text.as_text(chart))
    if options.dot:
        chart_typed.write(options.dot, chart_picture.as_dot(chart).encode())
    if options.pdf:
        chart_typed.write(options.pdf, chart_paper.as_pdf(chart, date.today(), options.paper))
    return OK


def _count_places(done: int, of: int) -> None:
    end = "\n" if done == of else ""
    print(f"\r{done} of {of} checks worked out", end=end, file=sys.stderr, flush=True)


def _review(known, options) -> int:
    from engine.knowledge import review

    if options.rehearse:
        return _rehearse(known, options)
    report = review.review(known)
    if options.json:
        print(json.dumps(report.as_dict(), indent=2))
    else:
        print(report.as_text())
    return PROBLEMS if report.problems else OK


def _rehearse(known, options) -> int:
    from dataclasses import asdict

    from engine.visit import rehearsal, rehearsal_words

    unknown = [name for name in options.causes if name not in known.causes]
    if unknown:
        print(
            f"no cause {unknown[0]!r}; `python -m engine list causes` names them", file=sys.stderr
        )
        return UNUSABLE
    settings, done = list(rehearsal.settings(known, options.causes)), []
    for one in rehearsal_words.rehearsed(
        options.knowledge, settings, options.rehearse, options.jobs
    ):
        done.append(one)
        end = "\n" if len(done) == len(settings) else ""
        print(f"\r{len(done)} of {len(settings)} rehearsed", end=end, file=sys.stderr, flush=True)
    if options.json:
        print(json.dumps([asdict(one) for one in done], indent=2))
    else:
        print(rehearsal_words.as_text(known, done, whole=not options.causes))
    return OK


def _sheet(known, options) -> int:
    from engine.records import Store, default_url
    from engine.visit import chart_typed, job_sheet_page, job_sheet_paper, job_sheet_text
    from engine.visit.job_sheet_kept import kept_job_sheet

    store = Store(default_url())
    sheet = kept_job_sheet(store, known, keeping.read(store, known, options.number))
    if options.pdf:
        chart_typed.write(options.pdf, job_sheet_paper.as_pdf(sheet, options.paper))
    if options.html:
        chart_typed.write(options.html, job_sheet_page.as_page(sheet).encode())
    if not (options.pdf or options.html):
        print(job_sheet_text.as_text(sheet), end="")
    return OK


def _export(known, options) -> int:
    from engine.records import Store, default_url
    from engine.visit import exchange

    if options.schema:
        print(json.dumps(exchange.schema(), indent=1))
        return OK
    store = Store(default_url())
    if options.visit is not None:
        print(exchange.visit_as_json(store, options.visit, options.nameless))
    else:
        print(exchange.boiler_as_json(store, options.boiler, options.nameless))
    return OK


def _import(known, options) -> int:
    from engine.records import Store, default_url
    from engine.visit import exchange

    try:
        typed = options.file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise SightportError(f"{options.file}: cannot be read; {error}") from None
    brought = exchange.bring_in(Store(default_url()), typed)
    print(f"Brought in: visits {', '.join(map(str, brought.visits)) or 'none'}")
    return OK


def _erase(known, options) -> int:
    from engine.records import Store, default_url
    from engine.records.store import now
    from engine.visit import retention

    store, years = Store(default_url()), options.older_than_years
    if options.yes:
        found = retention.erase_outdated(store, known, years, now())
        print(f"Erased: {found.counted()}.")
    else:
        found = retention.outdated(store, known, years, now())
        print("\n".join(retention.lines(store, found)))
    if found.left():
        print(found.left())
    return OK


def _visit(known, options) -> int:
    from engine.records import Store, default_url
    from engine.visit import terminal

    return terminal.walk(Store(default_url()), known, options.number)


if __name__ == "__main__":
    sys.exit(main())

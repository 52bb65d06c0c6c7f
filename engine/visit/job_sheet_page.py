"""A job sheet as one HTML document for mail: no script, nothing from outside, all text escaped."""

from html import escape

from engine.visit.job_sheet_form import JobSheet, Row, Section
from engine.visit.job_sheet_text import headline, licence

_STYLE = """
:root {color-scheme: light}
body {margin: 0; background: #e9e7e1; color: #111; line-height: 1.45;
  font: 1rem/1.45 "Segoe UI", "Noto Sans", "DejaVu Sans", Arial, sans-serif}
main {max-width: 60rem; margin: 0 auto; padding: 1.5rem; background: #fff;
  overflow-wrap: anywhere; box-sizing: border-box}
header {display: flex; flex-wrap: wrap; gap: 0.5rem 2rem; justify-content: space-between;
  border-bottom: 4px solid #111; padding-bottom: 0.6rem}
header p, header h1 {margin: 0}
h1 {font-size: 1.4rem}
.stands {font-weight: 700}
section {display: grid; grid-template-columns: 9rem minmax(0, 1fr); gap: 0 1rem;
  border-bottom: 1px solid #777; padding: 0.5rem 0}
h2 {font-size: 1rem; margin: 0}
p {margin: 0 0 0.2rem 0; white-space: pre-line}
ul {margin: 0; padding-left: 1.1rem}
li {white-space: pre-line}
.alarm {display: block; border: 5px solid #111; padding: 0; margin: 0.8rem 0}
.alarm h2 {background: #111; color: #fff; font-size: 1.4rem; padding: 0.4rem 0.8rem}
.alarm p {padding: 0.15rem 0.8rem; font-size: 1.1rem}
.alarm p:first-of-type {font-weight: 700}
table {border-collapse: collapse; width: 100%; overflow-wrap: break-word}
th, td {text-align: left; vertical-align: top; padding: 0.2rem 0.6rem 0.2rem 0;
  border-top: 1px solid #bbb; white-space: pre-line}
th, thead td {border-top: 0}
.open td {font-weight: 700}
.box {display: inline-block; width: 1em; height: 1em; border: 2px solid #111; text-align: center;
  line-height: 1; font-weight: 700}
.sign {display: grid; grid-template-columns: 1fr 1fr; gap: 2rem; padding-top: 4rem}
.sign p {border-top: 1px solid #111}
footer {font-size: 0.9rem; padding-top: 0.8rem}
@media (max-width: 40rem) {
  main {padding: 1rem}
  section {display: block}
  thead, colgroup {display: none}
  table, tbody {display: block; overflow-wrap: anywhere}
  tr {display: block; overflow: hidden; border-top: 1px solid #777; padding: 0.3rem 0}
  td {display: block; border: 0; padding: 0}
  td[data-of]::before {content: attr(data-of) ": "; font-weight: 400; font-style: italic}
  td:empty {display: none}
  td.mark {float: left; padding-right: 0.5rem}
  td:first-of-type:not(.mark), td.mark + td {font-weight: 700}
}
@media print {body {background: #fff; font-size: 9pt} main {max-width: none; padding: 0}
  section, tr {break-inside: avoid}}
"""


def as_page(sheet: JobSheet) -> str:
    """The sheet as a whole HTML document, wide or on a phone."""
    letterhead = sheet.letterhead
    said = (letterhead.address, letterhead.phone, licence(letterhead.licence))
    title = f"{headline(sheet)}: {sheet.ending}"
    return "\n".join((
        "<!DOCTYPE html>",
        '<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body><main>",
        f"<header><div><h1>{escape(letterhead.company or headline(sheet))}</h1>",
        *(f"<p>{escape(text)}</p>" for text in said if text),
        f'</div><div><p class="stands">{escape(title)}</p><p>{escape(sheet.when())}</p></div>',
        "</header>",
        *(_section(alarm, "alarm") for alarm in sheet.alarms),
        *(_section(section) for section in sheet.sections),
        '<div class="sign">',
        *(f"<p>{escape(text)}</p>" for text in sheet.signatures),
        "</div>",
        f"<footer><p>{escape(sheet.foot)}</p><p>{escape(sheet.made_by)}</p></footer>",
        "</main></body></html>\n",
    ))  # fmt: skip


def _section(section: Section, kind: str = "") -> str:
    named = f' class="{kind}"' if kind else ""
    return f"<section{named}><h2>{escape(section.title)}</h2><div>{_rows(section)}</div></section>"


def _rows(section: Section) -> str:
    if len(section.shares) > 1:
        return _table(section)
    texts = [escape(row.cells[0]) for row in section.rows]
    if section.flowing and len(texts) > 1:
        return "<ul>" + "".join(f"<li>{text}</li>" for text in texts) + "</ul>"
    return "".join(f"<p>{text}</p>" for text in texts)


def _table(section: Section) -> str:
    boxed = section.rows[0].box is not None
    widths = "".join(
        f'<col style="width: {100 * share / sum(section.shares):.0f}%">' for share in section.shares
    )
    columns = f"<colgroup>{'<col>' if boxed else ''}{widths}</colgroup>"
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in section.head)
    mark = "<td></td>" if boxed else ""
    top = f"<thead><tr>{mark}{heads}</tr></thead>" if heads else ""
    body = "".join(_row(section, row) for row in section.rows)
    return f"<table>{columns}{top}<tbody>{body}</tbody></table>"


def _row(section: Section, row: Row) -> str:
    mark = ""
    if row.box is not None:
        said, sign = ("yes", "✓") if row.box else ("no", "&nbsp;")
        box = f'<span class="box" role="img" aria-label="{said}">{sign}</span>'
        mark = f'<td class="mark">{box}</td>'
    heads = ("", *(section.head[1:] or ("",) * (len(row.cells) - 1)))
    cells = "".join(
        f'<td data-of="{escape(head)}">{escape(cell)}</td>' if head else f"<td>{escape(cell)}</td>"
        for head, cell in zip(heads, row.cells, strict=True)
    )
    kind = ' class="open"' if row.box is False else ""
    return f"<tr{kind}>{mark}{cells}</tr>"

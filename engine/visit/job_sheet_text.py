"""A job sheet as plain text, for a terminal or a message."""

from engine.visit.job_sheet_form import JobSheet, Row, Section


def as_text(sheet: JobSheet) -> str:
    """The whole sheet, a title over each section and a line for each row."""
    letterhead = sheet.letterhead
    blocks = ["\n".join(filter(None, (
        letterhead.company, letterhead.address, letterhead.phone, licence(letterhead.licence),
    )))]  # fmt: skip
    blocks += [
        "\n".join(filter(None, (f"{headline(sheet)}: {sheet.ending}", sheet.when()))),
        *(_block(alarm, alarm.title.upper()) for alarm in sheet.alarms),
        *(_block(section, section.title) for section in sheet.sections),
        "\n".join(f"{text}: ________________" for text in sheet.signatures),
        "\n".join((sheet.foot, sheet.made_by)),
    ]
    return "\n\n".join(filter(None, blocks)) + "\n"


def headline(sheet: JobSheet) -> str:
    """What it is, and of which visit."""
    return f"Job sheet, visit {sheet.visit}"


def licence(number: str) -> str:
    """A licence number with the word before it; empty without one."""
    return f"Licence {number}" if number else ""


def _block(section: Section, title: str) -> str:
    return "\n".join((title, *(f"  - {_line(section, row)}" for row in section.rows)))


def _line(section: Section, row: Row) -> str:
    box = "" if row.box is None else "[x] " if row.box else "[ ] "
    first, *others = row.cells
    heads = section.head[1:] or ("",) * len(others)
    named = [
        f"{head}: {cell}" if place else cell  # what stands first needs no name
        for place, (head, cell) in enumerate(zip(heads, others, strict=True))
        if cell
    ]
    said = ": ".join(filter(None, (first, "; ".join(named))))
    return box + said.replace("\n", "\n    ")

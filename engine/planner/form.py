"""A neutral problem from a JSON file; every mistake in it with its line and how to mend it.

JSON is read here rather than by the standard library, because a mistake in what it says must be
shown at the line where it stands.
"""

import json
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from pydantic import ValidationError

from engine.errors import Problem, Unusable, nearest
from engine.knowledge.nodes import Document
from engine.knowledge.wording import in_words
from engine.planner.neutral import Cause, Check, Form, WideRepair

MAX_BYTES = 20_000_000
MAX_DEPTH = 12
MAX_NUMBERS = 20_000_000
"""Sets of causes times causes and outcomes, beyond which it does not fit into a small computer."""

OFF = 1e-3
"""How far from 1 a row of probabilities may sum, for rounding."""

_SPACE = re.compile(r"[ \t\n\r]*")
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?(?![0-9A-Za-z.+-])")
_WORD = re.compile(r"[-+]?[A-Za-z0-9_.+-]+")
_WORDS = {"true": True, "false": False, "null": None}
_SECTIONS = {"causes": Cause, "checks": Check, "repairs": WideRepair}


def read(path: Path) -> Form:
    """The problem that a file holds.

    Raises
    ------
    Unusable
        With every problem of the file: line, what, mend.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder, "two.json")
    ...     _ = path.write_text('{"causes": [{"id": "a", "prior": 1}], "refer": {"minutes": 60}}')
    ...     read(path).refer.minutes
    60.0
    """
    document = parsed(path)
    found = list(document.problems)
    if document.data is None and found:
        raise Unusable(found)
    form = None
    try:
        form = Form.model_validate(document.data)
    except ValidationError as error:
        found += [_problem(document, tuple(part["loc"]), *_shape(part)) for part in error.errors()]
    found += [_problem(document, *mistake) for mistake in _mistakes(document.data)]
    if found:
        raise Unusable(found)
    return form


def _problem(document, path, what, mend) -> Problem:
    """Named by the id of the entry it stands in, for a file may be a single line."""
    where = ""
    if path and path[0] in _SECTIONS and len(path) > 1 and isinstance(path[1], int):
        entry = document.data[path[0]][path[1]]
        name = entry.get("id") if isinstance(entry, dict) else None
        where = f"{path[0]}, {name!r}: " if isinstance(name, str) else f"{path[0]}, {path[1] + 1}: "
    elif path and path[0] == "access" and len(path) > 1:
        where = f"access, {path[1]!r}: "
    return Problem(document.file, document.line(path), where + what, mend)


def _shape(error: dict) -> tuple[str, str]:
    """A pydantic error as what is wrong and how to mend it."""
    loc, kind, value = error["loc"], error["type"], error["input"]
    names = [part for part in loc if isinstance(part, str)]
    key = names[-1] if names else "file"
    if loc and isinstance(loc[-1], int):
        key = f"{key}, entry {loc[-1] + 1}"
    if kind == "greater_than_equal":
        return f"{key}: {value:g} is below 0", "write 0 or more"
    if kind == "less_than_equal" and error["ctx"]["le"] == 1:
        return f"{key}: {value:g} is above 1", "write a share from 0 to 1"
    if kind in ("less_than_equal", "finite_number"):
        return f"{key}: {value:g} is too much", "write the minutes that it takes"
    wanted = {
        "float_type": "a number",
        "string_type": "text in quotes",
        "bool_type": "true or false",
        "tuple_type": "a list",
        "dict_type": "an object with keys",
        "mapping_type": "an object with keys",
        "model_type": "an object with keys",
    }.get(kind)
    if wanted:
        return f"{key}: {_shown(value)} is not {wanted}", f"write {wanted}"
    if kind in ("too_short", "string_too_short"):
        return f"{key} is empty", "write one at least"
    return in_words(error, Form)


def _shown(value) -> str:
    text = json.dumps(value)
    return text if len(text) <= 40 else text[:37] + "..."


# --- what the parts say together ----------------------------------------------------------------


def _mistakes(data) -> Iterator[tuple[tuple, str, str]]:
    """(path, what, mend) of all that contradicts itself; parts of a wrong shape are passed over."""
    if not isinstance(data, dict):
        return
    sound = {name: list(_sound(model, data.get(name))) for name, model in _SECTIONS.items()}
    access = data.get("access")
    access = access if isinstance(access, dict) else {}
    causes = _ids(data.get("causes"))
    yield from _repeated(data)
    yield from _circles(access)
    for i, cause in sound["causes"]:
        if cause.repair:
            yield from _unknown(("causes", i, "repair", "access"), cause.repair.access, access)
    for name in ("checks", "repairs"):
        for i, part in sound[name]:
            yield from _unknown((name, i, "access"), part.access, access)
    for i, repair in sound["repairs"]:
        for cause in repair.mends:
            yield from _unknown(("repairs", i, "mends", cause), cause, causes, "cause")
    for i, check in sound["checks"]:
        yield from _rows(("checks", i), check, causes)
    every = data.get("causes")
    if isinstance(every, list) and every and len(sound["causes"]) == len(every):
        yield from _priors(data, [cause.prior for _, cause in sound["causes"]])
    yield from _too_large(data, len(causes), [check for _, check in sound["checks"]])


def _sound(model, entries):
    """(place, entry) of those that have the right shape."""
    for i, entry in enumerate(entries if isinstance(entries, list) else []):
        try:
            yield i, model.model_validate(entry)
        except ValidationError:
            continue  # said with the shape of the whole


def _ids(entries) -> list[str]:
    entries = entries if isinstance(entries, list) else []
    return [e["id"] for e in entries if isinstance(e, dict) and isinstance(e.get("id"), str)]


def _repeated(data):
    """Ids that stand twice. A repair that stands by itself shares its names with the causes'."""
    for name in _SECTIONS:
        entries = data.get(name) if isinstance(data.get(name), list) else []
        seen = set(_ids(data.get("causes"))) if name == "repairs" else set()
        for i, entry in enumerate(entries):
            for found in _ids([entry]):
                if found in seen:
                    yield (name, i, "id"), f"the id {found!r} is taken", "choose another id"
                seen.add(found)


def _circles(access):
    within = {}
    for name, entry in access.items():
        inside = entry.get("within") if isinstance(entry, dict) else None
        if isinstance(inside, str):
            within[name] = inside
            yield from _unknown(("access", name, "within"), inside, access)
    told = set()
    for name in within:
        chain = [name]
        while within.get(chain[-1]) is not None and within[chain[-1]] not in chain:
            chain.append(within[chain[-1]])
        if within.get(chain[-1]) == name and not told & set(chain):
            told |= set(chain)
            yield (
                ("access", name, "within"),
                "covers lie within each other in a circle: " + " in ".join([*chain, name]),
                "let the outermost lie within null",
            )


def _unknown(path, name, known, kind="access"):
    if name is not None and name not in known:
        close = nearest(name, known)
        mend = (
            f"write {close!r}" if close else f"choose from: {', '.join(known) or 'none is given'}"
        )
        yield path, f"there is no {kind} {name!r}", mend


def _rows(path, check, causes):
    for outcome, count in Counter(check.outcomes).items():
        if count > 1:
            yield (*path, "outcomes"), f"the outcome {outcome!r} stands twice", "keep one of them"
    yield from _row((*path, "otherwise"), check.otherwise, check.outcomes)
    for cause, row in check.given.items():
        yield from _unknown((*path, "given", cause), cause, causes, "cause")
        yield from _row((*path, "given", cause), row, check.outcomes)


def _row(path, row, outcomes):
    if len(row) != len(outcomes):
        yield (
            path,
            f"{path[-1]}: there are {len(row)} numbers for {len(outcomes)} outcomes",
            f"write one number for each of: {', '.join(outcomes)}",
        )
    elif abs(sum(row) - 1) > OFF:
        yield path, f"{path[-1]}: the row sums to {sum(row):g}, not to 1", "let it sum to 1"


def _priors(data, priors):
    if not any(priors):
        yield ("causes",), "every prior is 0", "give one cause at least a prior above 0"
    elif data.get("faults") == "up_to_two" and priors.count(1.0) > 2:
        yield (
            ("causes",),
            f"{priors.count(1.0)} causes are certain, but at most two are present",
            "let at most two priors be 1",
        )


def _too_large(data, causes, checks):
    sets = causes + 1 if data.get("faults", "one") == "one" else 1 + causes * (causes + 1) // 2
    columns = causes + sum(len(check.outcomes) for check in checks)
    if sets * columns > MAX_NUMBERS:
        yield (
            (),
            f"the problem is too large: {sets} sets of causes, {columns} causes and outcomes",
            f"keep the product of both below {MAX_NUMBERS}",
        )


# --- JSON with lines ----------------------------------------------------------------------------


class _NotJsonError(Exception):
    """(index, what, mend)"""


def parsed(path: Path) -> Document:
    """A JSON file as Python values, with the line of every part.

    All numbers are floats. `data` is None where the file is not JSON; a key written twice is a
    problem, but the rest is read.
    """
    document = Document(file=str(path))
    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except OSError as error:
        what = f"the file cannot be read: {error.strerror}"
        document.problems.append(Problem(document.file, 1, what, "check the path"))
        return document
    try:
        if len(raw) > MAX_BYTES:
            raise _NotJsonError(0, f"the file is larger than {MAX_BYTES} bytes", "take parts out")
        text = raw.decode("utf-8-sig")
        reader = _Reader(text, document)
        document.data = reader.whole()
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        problem = Problem(document.file, line, "the file is not UTF-8 text", "save it as UTF-8")
        document.problems.append(problem)
    except _NotJsonError as error:
        index, what, mend = error.args
        line = text.count("\n", 0, index) + 1 if index else 1
        document.problems.append(Problem(document.file, line, what, mend))
    return document


class _Reader:
    """One text being read, from front to back."""

    def __init__(self, text: str, document: Document):
        self.text, self.document, self.index = text, document, 0
        self.line, self.counted = 1, 0

    def whole(self):
        value = self.value(())
        if self.next():
            raise self.refused("something stands after the end of the problem", "take it out")
        if value is None:
            raise self.refused("the file says null", "write a problem")
        return value

    def next(self) -> str:
        """The next sign that is no space; empty at the end."""
        self.index = _SPACE.match(self.text, self.index).end()
        return self.text[self.index : self.index + 1]

    def here(self) -> int:
        self.line += self.text.count("\n", self.counted, self.index)
        self.counted = self.index
        return self.line

    def refused(self, what, mend) -> _NotJsonError:
        return _NotJsonError(self.index, f"this is not JSON: {what}", mend)

    def value(self, path):
        sign = self.next()
        self.document.lines.setdefault(path, self.here())
        if len(path) > MAX_DEPTH:
            raise _NotJsonError(self.index, f"values are nested deeper than {MAX_DEPTH}", "flatten")
        if sign == "{":
            return self.mapping(path)
        if sign == "[":
            return self.sequence(path)
        if sign == '"':
            return self.string()
        number = _NUMBER.match(self.text, self.index)
        if number:
            self.index = number.end()
            return float(number[0])
        word = _WORD.match(self.text, self.index)
        if word and word[0] in _WORDS:
            self.index = word.end()
            return _WORDS[word[0]]
        if word:
            raise self.refused(f"{word[0][:40]} is no value", "write a number, or text in quotes")
        raise self.refused(
            f"a value is missing before {sign!r}" if sign else "the file ends too early",
            "write the value, or take the comma before it out",
        )

    def string(self) -> str:
        try:
            value, self.index = json.decoder.scanstring(self.text, self.index + 1)
        except json.JSONDecodeError as error:
            self.index = error.pos
            raise self.refused(error.msg.lower(), "close the quotes, double each \\") from None
        return value

    def more(self, first: bool, closing: str) -> bool:
        """Whether an entry follows; the comma before it, or the closing bracket, is passed."""
        sign = self.next()
        if sign == closing:
            self.index += 1
            return False
        if not first:
            if sign != ",":
                raise self.refused(f"a comma or {closing!r} is missing", "write it")
            self.index += 1
        return True

    def sequence(self, path) -> list:
        self.index += 1
        result: list = []
        while self.more(not result, "]"):
            result.append(self.value((*path, len(result))))
        return result

    def mapping(self, path) -> dict:
        self.index += 1
        result: dict = {}
        first = True
        while self.more(first, "}"):
            first = False
            if self.next() != '"':
                raise self.refused("a key in double quotes is missing", "write it")
            line, key = self.here(), self.string()
            if self.next() != ":":
                raise self.refused(f"a colon is missing after {key!r}", "write it")
            self.index += 1
            twice = key in result
            if twice:
                what = f"key {key!r} is written twice"
                self.document.problems.append(
                    Problem(self.document.file, line, what, "keep one of the two")
                )
            self.document.lines[(*path, key)] = line
            result[key] = self.value((*path, key))
        return result

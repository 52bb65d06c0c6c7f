"""YAML read as text, with the line of every key and value kept.

Plain YAML loading turns ``off`` into False, keeps the last of two equal keys without a word, and
follows aliases wherever they lead. Here every scalar stays the text that was written, a key
written twice is a problem, and a file that is too large, too deep or uses aliases is refused
before anything is built from it.
"""

from dataclasses import dataclass, field
from pathlib import Path

import yaml

from engine.errors import Problem

MAX_BYTES = 1_000_000
MAX_DEPTH = 14
MAX_NODES = 100_000

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_TOO_MUCH = "split the file; knowledge is written by hand and stays small"


@dataclass
class Document:
    """What one file says: text in dicts and lists, and where each part stands.

    `lines` maps a path of keys and positions to the line where that part begins.
    """

    file: str
    data: object = None
    lines: dict[tuple, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def line(self, path: tuple) -> int:
        """The line of `path`, or of its nearest known ancestor."""
        while path and path not in self.lines:
            path = path[:-1]
        return self.lines.get(path, 1)


def read(path: Path, shown_as: str | None = None) -> Document:
    """Read one YAML file into a Document; whatever is wrong with it stands in `problems`."""
    document = Document(file=shown_as or path.name)

    def refuse(line, what, mend):
        document.problems.append(Problem(document.file, line, what, mend))
        return document

    try:
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
        if len(raw) > MAX_BYTES:
            return refuse(1, f"the file is larger than {MAX_BYTES} bytes", _TOO_MUCH)
        text = raw.decode("utf-8")
    except OSError as error:
        return refuse(1, f"the file cannot be read: {error.strerror}", "check the path")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        return refuse(line, "the file is not UTF-8 text", "save it as UTF-8")
    try:
        hostile = _hostile(text)
        if hostile:
            return refuse(*hostile)
        node = yaml.compose(text, Loader=_LOADER)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        return refuse(
            mark.line + 1 if mark else 1,
            f"this is not YAML: {error.problem}",
            "check indentation, colons and quotes on this line and the one before",
        )
    except yaml.YAMLError as error:
        return refuse(1, f"this is not YAML: {error}", "remove control characters")
    if node is None:
        return refuse(1, "the file is empty", "add an entry or remove the file")
    document.data = _plain(node, (), document)
    return document


def _hostile(text: str):
    """The first (line, what, mend) that makes a text unsafe to compose, or None.

    Works on the event stream, which needs no recursion, so depth is bounded before the
    composer (which recurses) sees the text.
    """
    depth = nodes = documents = 0
    for event in yaml.parse(text, Loader=_LOADER):
        line = event.start_mark.line + 1
        if isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                return line, "a second document begins here", "keep one document a file"
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            return line, "anchors and aliases are not allowed", "write the value out"
        if isinstance(event, yaml.NodeEvent):
            nodes += 1
            if nodes > MAX_NODES:
                return line, f"the file has more than {MAX_NODES} values", _TOO_MUCH
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if depth > MAX_DEPTH:
                return line, f"values are nested deeper than {MAX_DEPTH}", "flatten this entry"
        if isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
    return None


def _plain(node, path, document):
    """The node as dicts, lists and text; lines and repeated keys noted on the way."""
    document.lines.setdefault(path, node.start_mark.line + 1)
    if isinstance(node, yaml.ScalarNode):
        return node.value
    if isinstance(node, yaml.SequenceNode):
        return [
            _plain(child, (*path, position), document) for position, child in enumerate(node.value)
        ]
    result = {}
    first_line = {}
    for key_node, value_node in node.value:
        line = key_node.start_mark.line + 1
        if not isinstance(key_node, yaml.ScalarNode):
            document.problems.append(
                Problem(document.file, line, "a key is not plain text", "write a word as key")
            )
            continue
        key = key_node.value
        if key in result:
            document.problems.append(
                Problem(
                    document.file,
                    line,
                    f"key {key!r} is written twice (first on line {first_line[key]})",
                    "keep one of the two",
                )
            )
            continue
        first_line[key] = line
        document.lines[(*path, key)] = line
        result[key] = _plain(value_node, (*path, key), document)
    return result

"""From a folder of YAML to one frozen Knowledge, or to every reason why not.

The use-case layer hands in the table of named calculations, so that nothing here depends on the
physics; all that is asked of a calculation is its `inputs` and its `quantity`.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

import networkx as nx

from engine.errors import Problem, Unusable
from engine.knowledge import consistency, nodes, schema
from engine.knowledge import graph as graphs
from engine.knowledge.gathering import Gathering

MAX_FILES = 100


@dataclass(frozen=True, eq=False)
class Knowledge:
    """All that the trade knows, by kind and id, and the graph that joins it.

    Attributes
    ----------
    words, commonness, standing, shifts, sources, symptoms, contexts, facts, instruments, \
cautions, access, closing, checks, actions, causes : mapping of id to entry
    graph : networkx.DiGraph, frozen; see `engine.knowledge.graph`
    calculations : mapping of name to calculation, as handed to `load`
    places : mapping of (kind, id) to (file, line)
    version : str, the first 12 hex digits of a digest over all files
    """

    words: Mapping[str, schema.Word]
    commonness: Mapping[str, schema.Commonness]
    standing: Mapping[str, schema.Standing]
    shifts: Mapping[str, schema.Shift]
    sources: Mapping[str, schema.Source]
    symptoms: Mapping[str, schema.Symptom]
    contexts: Mapping[str, schema.Context]
    facts: Mapping[str, schema.Fact]
    instruments: Mapping[str, schema.Instrument]
    cautions: Mapping[str, schema.Caution]
    access: Mapping[str, schema.Access]
    closing: Mapping[str, schema.Closing]
    checks: Mapping[str, schema.Check]
    actions: Mapping[str, schema.Action]
    causes: Mapping[str, schema.Cause]
    graph: nx.DiGraph
    calculations: Mapping[str, object]
    places: Mapping[tuple[str, str], tuple[str, int]]
    version: str

    def __repr__(self) -> str:
        return f"Knowledge({self.version})"  # all of it would fill a screen many times over

    def probability(self, word: str) -> float:
        """The probability that a likelihood word stands for."""
        return self.words[word].probability

    def fuels(self) -> tuple[str, ...]:
        """Ids of the fuels that the knowledge distinguishes."""
        return tuple(self.facts["fuel"].choices) if "fuel" in self.facts else ("natural_gas",)


def load(folder: Path, calculations: Mapping[str, object]) -> Knowledge:
    """Read, validate and join every YAML file under `folder`.

    Parameters
    ----------
    folder : Path
        Holds ``*.yaml`` files, each a mapping of kinds to entries by id.
    calculations : mapping of name to an object with `inputs` and `quantity`
        Named calculations that readings may use.

    Raises
    ------
    Unusable
        With every problem found, each with file, line and mend.
    """
    files = sorted(folder.rglob("*.yaml"))
    if not files:
        raise Unusable(
            [Problem(str(folder), 1, "no YAML file in this folder", "point at a knowledge folder")]
        )
    if len(files) > MAX_FILES:
        raise Unusable(
            [Problem(str(folder), 1, f"more than {MAX_FILES} files", "join small files")]
        )
    shown = folder.resolve().name
    documents = [nodes.read(path, shown_as=f"{shown}/{path.relative_to(folder)}") for path in files]
    gathering = Gathering(calculations)
    for document in documents:
        gathering.add(document)
    consistency.check_all(gathering)
    if gathering.problems:
        raise Unusable(gathering.problems)
    digest = hashlib.sha256(b"\0".join(path.read_bytes() for path in files)).hexdigest()
    return Knowledge(
        **{kind: MappingProxyType(entries) for kind, entries in gathering.entries.items()},
        graph=graphs.build(gathering.entries),
        calculations=MappingProxyType(dict(calculations)),
        places=MappingProxyType(
            {key: (doc.file, doc.line(key)) for key, doc in gathering.origin.items()}
        ),
        version=digest[:12],
    )

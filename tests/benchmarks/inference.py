"""The same posterior by ours and by pyAgrum's exact inference, side by side in one run.

    python -m tests.benchmarks.inference [--complaint locks_out_no_flame] [--visits 3]

The networks are cut from the shipped knowledge: one complaint with its 10, 14, 18, ... commonest
causes, and the findings of a visit to a boiler drawn from the model, ten checks chosen by bits a
minute, two to four of them faulty. The findings are the same at every size.

Ours lists the sets of at most two causes and counts what the others hold (`remainder`). pyAgrum
leaves nothing out, so the difference of any marginal is our truncation; it may not exceed the
remainder, and both are printed. So is the evidence that our sets lack by pyAgrum's own count.

Times are processor time of one thread for evidence and the marginals of all causes. Building the
networks is not counted on either side; for ours that is the arrays of `Network` and the list of
the sets, while prior and tables over the sets are counted ("all findings"). pyAgrum forgets all
evidence between runs. "One update" is one more finding where the others are absorbed already; for
pyAgrum the evidence of one check changed, with what it keeps from before.

pyAgrum is given the better of every way to write the network that its user might think of. A check
is a noisy-MAX over the causes that bear on it: as a full table, as a chain of nodes that take in
one cause each, or as a balanced tree of maxima; the cause that brought the complaint either is a
parent itself or acts through a yes/no node for each cause. Outcomes that a finding does not tell
apart are merged beforehand. A form is left out where its largest clique passes `--cells`. Its own
MAX aggregator (a full table inside) was tried and was a hundred times slower at six causes;
Shafer-Shenoy takes about as long as lazy propagation, variable elimination longer.
"""

import argparse
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pyagrum as gum

from engine.belief import network as networks
from engine.belief.evidence import left_out
from engine.belief.network import Network
from engine.belief.observers import reliability
from engine.belief.posterior import Belief, Space
from engine.knowledge import Knowledge, schema
from engine.knowledge import graph as graphs
from engine.visit.keeping import knowledge
from tests.benchmarks.boilers import FACTS, WHO, Boiler, everything

FINDINGS, FEWEST_FAULTY, MOST_FAULTY = 10, 2, 4
WANTED = 100
FORMS = [(parent, shape) for parent in ("chief", "causes") for shape in ("table", "chain", "tree")]
HEAD = (
    f"{'visit':>5}{'causes':>7}{'beside':>7} |{'all findings':>13}{'one update':>11} |"
    f"{'pyAgrum':>10}{'update':>10}  {'its best form':<14}|{'times':>8}{'update':>8} |"
    f"{'difference':>11}{'remainder':>11}{'lacking':>10}"
)

Findings = dict[str, str]
Weights = dict[str, np.ndarray]


# --- the networks ----------------------------------------------------------------------------


def cut(known: Knowledge, complaint: str, count: int) -> Knowledge:
    """The knowledge with the commonest causes of one complaint only."""
    network = networks.build(known, [complaint], (), FACTS)
    order = np.argsort(-network.chief[0][:-1], kind="stable")[:count]
    kept = {network.causes[i] for i in order}
    causes = {name: cause for name, cause in known.causes.items() if name in kept}
    entries = {kind: getattr(known, kind) for kind in schema.KINDS} | {"causes": causes}
    return replace(known, causes=causes, graph=graphs.build(entries))


def weighed(known: Knowledge, findings: Findings) -> Weights:
    """Weight of each outcome of what was found, the observer's slips included."""
    result = {}
    for check, outcome in findings.items():
        outcomes = list(known.checks[check].outcomes)
        right = reliability(known, check, WHO)
        result[check] = right * np.array([o == outcome for o in outcomes], dtype=float)
        result[check] += (1 - right) / len(outcomes)
    return result


def visit(known: Knowledge, complaint: str, seed: str) -> Findings:
    """What a boiler drawn from the model shows to the checks that tell most per minute."""
    boiler = Boiler.drawn(known, everything(known, complaint), seed)
    findings: Findings = {}
    for _ in range(FINDINGS):
        network = networks.build(known, [complaint], (), FACTS, findings.items())
        belief = ours(Space(network), weighed(known, findings))
        rates = {
            name: _bits(belief, name) / max(check.minutes, 0.5)
            for name, check in known.checks.items()
            if name in network.background and name not in findings and not check.derived
            and (not check.only_with or complaint in check.only_with)
        }  # fmt: skip
        check = max(rates, key=rates.get)
        findings[check] = boiler.answer(check, epoch=0)
    return findings


def _bits(belief: Belief, check: str) -> float:
    """Bits that a check is expected to tell about which set is present."""
    table = belief.space.table(check)
    joint, chance = belief.weights[:, None] * table, belief.predict(check)
    return float((joint * np.log2(np.where(table > 0, table, 1.0))).sum()) - float(
        (chance * np.log2(np.where(chance > 0, chance, 1.0))).sum()
    )


def typical(known: Knowledge, complaint: str, count: int) -> list[Findings]:
    """The first visits drawn in which two to four findings are faulty."""
    visits, number = [], 0
    while len(visits) < count:
        findings = visit(known, complaint, f"inference {complaint} {number}")
        faulty = sum(outcome != known.checks[c].healthy for c, outcome in findings.items())
        if FEWEST_FAULTY <= faulty <= MOST_FAULTY:
            visits.append(findings)
        number += 1
    return visits


def ours(space: Space, weights: Weights) -> Belief:
    """Our belief from all findings."""
    belief = space.belief()
    for check, seen in weights.items():
        belief = belief.observe(space.table(check) @ seen)
    return belief


# --- the same for pyAgrum --------------------------------------------------------------------


@dataclass(frozen=True)
class Written:
    """A network in pyAgrum: which node stands for each check, and which for each cause."""

    net: gum.BayesNet
    checks: dict[str, str]
    causes: list[tuple[str, int]]


def written(network: Network, weights: Weights, parent: str, shape: str) -> Written | None:
    """The network in one of the `FORMS`; None where a full table passes a million rows.

    Where the chief cause is a parent itself, the node of a cause says that it stands beside
    another, and is there only where it may.
    """
    net, count = gum.BayesNet(), len(network.causes)
    net.add(gum.RangeVariable("chief", "", 0, count - 1))
    net.cpt("chief").fillWith(list(network.chief[0]))
    beside = [i for i in range(count) if parent == "causes" or network.standing[i] > 0]
    for i in beside:
        net.add(gum.RangeVariable(f"cause{i}", "", 0, 1))
        net.addArc("chief", f"cause{i}")
        present = [network.promoted.get((chief, i), network.standing[i]) for chief in range(count)]
        present[i] = float(parent == "causes")
        net.cpt(f"cause{i}")[:] = [[1 - p, p] for p in present]
    ends = {}
    for check, seen in weights.items():
        last = _tellable(seen)
        effects, background = network.effects[check][:, last], network.background[check][last]
        causes = [i for i in beside if (effects[i] < 1).any()]
        below = {f"cause{i}": np.stack([np.ones(len(last)), effects[i]]) for i in causes}
        below = {"chief": effects} | below if parent == "chief" or not below else below
        first = next(iter(below))
        below[first] = below[first] * background
        if shape == "table" and np.prod([float(len(b)) for b in below.values()]) > 1e6:
            return None
        ends[check] = _SHAPES[shape](net, check, below)
    return Written(net, ends, [("chief", i) for i in range(count) if parent == "chief"]
               + [(f"cause{i}", i) for i in beside])  # fmt: skip


def _tellable(seen: np.ndarray) -> list[int]:
    """The last of each run of outcomes that a finding weighs alike."""
    return [k for k, (a, b) in enumerate(pairwise([*seen, None])) if a != b]


def _add(net: gum.BayesNet, name: str, parents: list[str], below: np.ndarray) -> str:
    """A node from P(outcome <= k) over the states of its parents, shape (..., K)."""
    net.add(gum.RangeVariable(name, "", 0, below.shape[-1] - 1))
    for other in parents:
        net.addArc(other, name)
    table, axes = np.diff(below, axis=-1, prepend=0.0), [*parents, name]
    order = [axes.index(axis) for axis in reversed(net.cpt(name).names)]  # the first runs fastest
    net.cpt(name).fillWith(list(table.transpose(order).ravel()))
    return name


def _table(net, check, below) -> str:
    combined = np.ones(1)
    for rows in below.values():
        combined = combined[..., None, :] * rows
    return _add(net, check, list(below), combined)


def _chain(net, check, below) -> str:
    before = None
    for parent, rows in below.items():
        if before is None:
            before = _add(net, f"{check} {parent}", [parent], rows)
        else:
            passed = _maximum(rows.shape[1]) * rows  # (before, parent, K)
            before = _add(net, f"{check} {parent}", [before, parent], passed)
    return before


def _tree(net, check, below) -> str:
    nodes = [_add(net, f"{check} {parent}", [parent], rows) for parent, rows in below.items()]
    outcomes = next(iter(below.values())).shape[1]
    reached = _maximum(outcomes)
    while len(nodes) > 1:
        pairs = zip(nodes[::2], nodes[1::2], strict=False)
        upper = [_add(net, f"({a}, {b})", [a, b], reached * reached[:, 0]) for a, b in pairs]
        nodes = upper + nodes[2 * len(upper) :]
    return nodes[0]


def _maximum(outcomes: int) -> np.ndarray:
    """Whether outcome j is at most k, with a free axis between them; shape (K, 1, K)."""
    return np.triu(np.ones((outcomes, outcomes)))[:, None, :]


_SHAPES: dict[str, Callable] = {"table": _table, "chain": _chain, "tree": _tree}


def largest_clique(inference) -> float:
    """Cells of the largest clique of its junction tree."""
    tree, net = inference.junctionTree(), inference.BN()
    sizes = (
        np.prod([float(net.variable(v).domainSize()) for v in tree.clique(c)]) for c in tree.nodes()
    )
    return max(sizes)


class Theirs:
    """pyAgrum on one network in one form, or the size of the clique that forbids it."""

    def __init__(self, network: Network, weights: Weights, form: tuple[str, str]):
        self.form, self.cells, self.took = " ".join(form), np.inf, np.inf
        self.written = written(network, weights, *form)
        if self.written is None:
            return
        self.count = len(network.causes)
        self.evidence = {
            self.written.checks[c]: list(seen[_tellable(seen)]) for c, seen in weights.items()
        }
        self.inference = gum.LazyPropagation(self.written.net)
        self.inference.setTargets({node for node, _ in self.written.causes})
        self.inference.setEvidence(self.evidence)
        self.cells = largest_clique(self.inference)

    def all_findings(self) -> float:
        """Milliseconds of one inference from nothing."""
        self.inference.eraseAllEvidence()
        start = time.process_time()
        self.inference.setEvidence(self.evidence)
        self.marginals()
        self.took = 1000 * (time.process_time() - start)
        return self.took

    def update(self) -> float:
        """Milliseconds of taking in one finding after all others."""
        node, seen = list(self.evidence.items())[-1]
        self.inference.chgEvidence(node, [1.0] * len(seen))
        self.marginals()
        start = time.process_time()
        self.inference.chgEvidence(node, seen)
        self.marginals()
        return 1000 * (time.process_time() - start)

    def marginals(self) -> np.ndarray:
        """P(cause present), for every cause of the network."""
        self.inference.makeInference()
        result = np.zeros(self.count)
        found = {node: self.inference.posterior(node).toarray() for node, _ in self.written.causes}
        for node, i in self.written.causes:
            result[i] += found[node][i if node == "chief" else 1]
        return result


# --- side by side ----------------------------------------------------------------------------


def our_times(network: Network, weights: Weights, runs: int = 40) -> tuple[float, float]:
    """Milliseconds (from all findings, of one update), marginals included."""
    whole, one = [], []
    for _ in range(runs):
        space = Space(network)
        start = time.process_time()
        ours(space, weights).marginals()
        whole.append(time.process_time() - start)
        *rest, (check, seen) = weights.items()
        belief, table = ours(space, dict(rest)), space.table(check)
        start = time.process_time()
        belief.observe(table @ seen).marginals()
        one.append(time.process_time() - start)
    return 1000 * statistics.median(whole), 1000 * statistics.median(one)


@dataclass(frozen=True)
class Row:
    """What one comparison came to."""

    suspects: int
    times: float
    difference: float


def compare(network: Network, weights: Weights, number: int, cells: float) -> Row | None:
    """Print one row; None where pyAgrum cannot follow."""
    belief = ours(Space(network), weights)
    remainder = left_out(network, weights, belief.evidence)
    whole, one = our_times(network, weights)
    beside = int((network.standing > 0).sum())
    head = f"{number:>5}{len(network.causes):>7}{beside:>7} |{whole:>10.2f} ms{one:>8.3f} ms |"
    every = [Theirs(network, weights, form) for form in FORMS]
    best = min(every, key=lambda t: t.cells)
    if best.cells > cells:
        print(f"{head} cannot follow: the smallest of its largest cliques has {best.cells:.0e} "
              f"cells ({best.form}) | {'':>10}{remainder:>11.1e}", flush=True)  # fmt: skip
        return None
    for form in every:
        if form.cells <= min(cells, max(1e5, 4 * best.cells)):
            form.all_findings()
    best = min(every, key=lambda t: t.took)
    runs = max(1, min(15, int(2000 / best.took)))
    theirs = statistics.median(best.all_findings() for _ in range(runs))
    marginals, evidence = best.marginals(), best.inference.evidenceProbability()
    update = statistics.median(best.update() for _ in range(min(runs, 5)))
    off = float(np.abs(belief.marginals() - marginals).max())
    lacking = 1 - belief.evidence / evidence
    within = "" if off <= remainder + 1e-9 else "  NOT WITHIN"
    print(f"{head}{theirs:>7.1f} ms{update:>7.1f} ms  {best.form:<14}|{theirs / whole:>8.1f}"
          f"{update / one:>8.0f} |{off:>11.1e}{remainder:>11.1e}{lacking:>10.1e}{within}",
          flush=True)  # fmt: skip
    return Row(len(network.causes), theirs / whole, off)


def summed_up(rows: list[Row]) -> None:
    """What the rows come to that pyAgrum could follow."""
    largest = max(row.difference for row in rows)
    print(
        f"\n{WANTED} times as fast or more in {sum(r.times >= WANTED for r in rows)} of "
        f"{len(rows)} networks that pyAgrum can follow; largest difference {largest:.1e}"
    )
    for low, high in pairwise((0, 20, 26, 32, np.inf)):
        band = [row.times for row in rows if low < row.suspects <= high]
        if band:
            print(f"  {low + 1:>2} to {high:>3.0f} suspects: {min(band):.0f} to {max(band):.0f} "
                  f"times, median {statistics.median(band):.0f}")  # fmt: skip


def main(arguments: list[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--complaint", default="locks_out_no_flame")
    parser.add_argument("--visits", type=int, default=3)
    parser.add_argument("--cells", type=float, default=1.5e7, help="of pyAgrum's largest clique")
    options = parser.parse_args(arguments)
    gum.setNumberOfThreads(1)
    known = knowledge()
    visits = typical(known, options.complaint, options.visits)
    for number, findings in enumerate(visits, 1):
        print(f"visit {number}: " + ", ".join(f"{c} {o}" for c, o in findings.items()))
    everyone = len(networks.suspects_of(known, [options.complaint]))
    print(f"\n{options.complaint}, times in milliseconds\n{HEAD}")
    rows = []
    for count in [*range(10, everyone, 4), everyone]:
        small = cut(known, options.complaint, count)
        for number, findings in enumerate(visits, 1):
            network = networks.build(small, [options.complaint], (), FACTS, findings.items())
            rows.append(compare(network, weighed(known, findings), number, options.cells))
    summed_up([row for row in rows if row])


if __name__ == "__main__":
    main()

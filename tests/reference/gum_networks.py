"""The same small networks in pyAgrum, an exact-inference library that knows nothing of ours.

The chief cause is a node with a state for each cause, each cause a yes/no node under it; complaints
and checks are full tables over all causes, filled by counting (`small_networks.outcomes_of`).
"""

from itertools import product

import pyagrum as gum

from engine.belief.network import COMPLAINT_LEAK
from tests.reference.small_networks import Plain, outcomes_of


def as_bayes_net(plain: Plain) -> gum.BayesNet:
    """Nodes: brought (which complaint), chief, cause0.., made0.., and the checks."""
    net = gum.BayesNet("visit")
    count, complaints = plain.count, len(plain.share)
    net.add(gum.RangeVariable("brought", "", 0, complaints - 1))
    net.cpt("brought").fillWith(plain.share)
    net.add(gum.RangeVariable("chief", "", 0, count - 1))
    net.addArc("brought", "chief")
    for s in range(complaints):
        net.cpt("chief")[{"brought": s}] = plain.chief[s]
    causes = [f"cause{i}" for i in range(count)]
    for i, name in enumerate(causes):
        net.add(gum.RangeVariable(name, "", 0, 1))
        net.addArc("chief", name)
        for chief in range(count):
            p = 1.0 if chief == i else plain.promoted.get((chief, i), plain.standing[i])
            net.cpt(name)[{"chief": chief}] = [1 - p, p]
    for s in range(complaints):
        name = f"made{s}"
        net.add(gum.RangeVariable(name, "", 0, 1))
        for parent in ("brought", *causes):
            net.addArc(parent, name)
        for brought, *present in product(range(complaints), *[range(2)] * count):
            quiet = 0.0 if brought == s else 1 - COMPLAINT_LEAK
            for i in range(count):
                quiet *= 1 - plain.made[s][i] if present[i] else 1
            at = {"brought": brought, **dict(zip(causes, present, strict=True))}
            net.cpt(name)[at] = [quiet, 1 - quiet]
    for check, row in plain.sound.items():
        net.add(gum.RangeVariable(check, "", 0, len(row) - 1))
        for parent in causes:
            net.addArc(parent, check)
        for present in product(range(2), repeat=count):
            chosen = tuple(i for i in range(count) if present[i])
            net.cpt(check)[dict(zip(causes, present, strict=True))] = outcomes_of(
                plain, check, chosen
            )
    return net


def inferred(plain: Plain) -> tuple[list[float], float]:
    """P(cause present) after complaints and findings, and P(complaints and findings).

    A finding with weights over its outcomes is entered as virtual evidence.
    """
    engine = gum.LazyPropagation(as_bayes_net(plain))
    engine.setEvidence({f"made{s}": 1 for s in range(len(plain.share))} | plain.findings)
    engine.makeInference()
    marginals = [float(engine.posterior(f"cause{i}")[1]) for i in range(plain.count)]
    return marginals, engine.evidenceProbability()

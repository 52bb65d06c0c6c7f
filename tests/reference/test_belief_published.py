"""Textbook networks whose posteriors are known, in the engine's form.

The engine's prior draws one chief cause and lets others stand beside it. Independent causes fit
into that form with a chief that is a dummy: it is always there, shows nothing, and every real
cause stands beside it at its own prior. Roots with children fit too: a dummy for each combination
of the roots, which promotes the children to their conditional probabilities.
"""

import numpy as np
import pyagrum as gum
import pytest

from engine.belief.network import Network
from engine.belief.posterior import Space
from tests.published import Published, rows

NOISY_OR = (
    "leaky noisy-OR of two causes, counted by hand over the four combinations: "
    "P(f) = 1 - .95 (1 - .1*.8) (1 - .2*.5)"
)


def independent(priors, leak, links):
    """Independent causes that bring one finding, as a network with a dummy chief."""
    n = len(priors)
    return Network(
        causes=(*(f"d{i + 1}" for i in range(n)), "none_of_these"),
        chief=np.eye(n + 1)[[n]],
        share=np.ones(1),
        standing=np.array([*priors, 0.0]),
        promoted={},
        complaint=np.ones((1, n + 1)),
        background={"f": np.array([1 - leak, 1.0])},
        effects={"f": np.array([*([1 - link, 1.0] for link in links), [1.0, 1.0]])},
        strays={"f": np.ones(2)},
    )


@rows(
    Published({"asked": "f"}, 0.2134, 5e-7, NOISY_OR),
    Published({"asked": "d1"}, 0.388472, 5e-7, NOISY_OR),
    Published({"asked": "d2"}, 0.527648, 5e-7, NOISY_OR),
)
def test_leaky_noisy_or(row):
    space = Space(independent([0.1, 0.2], 0.05, [0.8, 0.5]), largest=3)
    belief = space.belief()
    after = belief.observe(space.table("f")[:, 1])
    figures = {"f": belief.predict("f")[1], "d1": after.marginals()[0], "d2": after.marginals()[1]}
    assert figures[row.given["asked"]] == pytest.approx(row.expected, abs=row.within)


ASIA = (
    "S. Lauritzen, D. Spiegelhalter, JRSS B 50 (1988) 157-224, the 'asia' network; posteriors "
    "computed from its tables"
)
P_ASIA, P_SMOKE = 0.01, 0.5
TUB, LUNG, BRONC = {0: 0.01, 1: 0.05}, {0: 0.01, 1: 0.10}, {0: 0.3, 1: 0.6}
XRAY = {0: 0.05, 1: 0.98}  # by "tuberculosis or cancer"
DYSP = {(0, 0): 0.1, (1, 0): 0.8, (0, 1): 0.7, (1, 1): 0.9}  # by bronchitis, "either"
ROOTS = [(asia, smoke) for asia in (0, 1) for smoke in (0, 1)]

GIVEN = {
    "xray, dysp": {"xray": 1, "dysp": 1},
    "xray, dysp, asia": {"xray": 1, "dysp": 1, "asia": 1},
    "dysp": {"dysp": 1},
}
POSTERIORS = [
    Published({"given": given, "cause": cause}, expected, 5e-7, ASIA)
    for given, figures in {
        "xray, dysp": (0.113933, 0.621253, 0.681869),
        "xray, dysp, asia": (0.391712, 0.444271, 0.628822),
        "dysp": (0.018845, 0.102759, 0.833967),
    }.items()
    for cause, expected in zip(("tub", "lung", "bronc"), figures, strict=True)
]


@pytest.fixture(scope="module")
def asia():
    """The prior of asia over sets of {tub, lung, bronc} and a dummy for each pair of roots."""
    dummies = range(3, 7)
    chance = [(P_ASIA if a else 1 - P_ASIA) * (P_SMOKE if s else 1 - P_SMOKE) for a, s in ROOTS]
    promoted = {}
    for dummy, (a, s) in zip(dummies, ROOTS, strict=True):
        promoted |= {(dummy, 0): TUB[a], (dummy, 1): LUNG[s], (dummy, 2): BRONC[s]}
    return Space(
        Network(
            causes=("tub", "lung", "bronc", *(f"asia{a}_smoke{s}" for a, s in ROOTS)),
            chief=np.array([[0, 0, 0, *chance]]),
            share=np.ones(1),
            standing=np.array([TUB[0], LUNG[0], BRONC[0], 0, 0, 0, 0]),
            promoted=promoted,
            complaint=np.ones((1, 7)),
            background={},
            effects={},
            strays={},
        ),
        largest=4,
    )


@rows(*POSTERIORS)
def test_asia(asia, row):
    """The prior and the inference are ours; the likelihoods are asia's own tables.

    They cannot come from our tables of checks: dyspnoea given bronchitis and "either" is .9, while
    noisy-OR of .8 and .7 over a leak of .1 would be 1 - .2 * .3 / .9 = .933, and two causes of
    "either" would make the X-ray likelier than one. So they are written set by set.
    """
    tub, lung, bronc = asia.members[:, :3].T
    either = (tub | lung).astype(int)
    likelihoods = {
        "xray": np.array([XRAY[e] for e in either]),
        "dysp": np.array([DYSP[int(b), e] for b, e in zip(bronc, either, strict=True)]),
        "asia": asia.members[:, 5:].any(axis=1).astype(float),
    }
    belief = asia.belief()
    for name in GIVEN[row.given["given"]]:
        belief = belief.observe(likelihoods[name])
    index = asia.network.causes.index(row.given["cause"])
    assert belief.marginals()[index] == pytest.approx(row.expected, abs=row.within)


@rows(*POSTERIORS)
def test_the_printed_asia_figures_are_those_of_its_tables(row):
    """Guards the figures above by exact inference in another library."""
    net = gum.fastBN("asia->tub->either<-lung<-smoke->bronc->dysp<-either->xray")
    net.cpt("asia").fillWith([1 - P_ASIA, P_ASIA])
    net.cpt("smoke").fillWith([1 - P_SMOKE, P_SMOKE])
    for child, parent, table in (
        ("tub", "asia", TUB), ("lung", "smoke", LUNG), ("bronc", "smoke", BRONC),
        ("xray", "either", XRAY),
    ):  # fmt: skip
        for state, p in table.items():
            net.cpt(child)[{parent: state}] = [1 - p, p]
    for t in (0, 1):
        for c in (0, 1):
            net.cpt("either")[{"tub": t, "lung": c}] = [1 - (t | c), t | c]
    for (b, e), p in DYSP.items():
        net.cpt("dysp")[{"bronc": b, "either": e}] = [1 - p, p]
    engine = gum.LazyPropagation(net)
    engine.setEvidence(GIVEN[row.given["given"]])
    engine.makeInference()
    found = float(engine.posterior(row.given["cause"])[1])
    assert found == pytest.approx(row.expected, abs=row.within)

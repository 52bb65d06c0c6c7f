"""The belief against pyAgrum's exact inference, every set listed so that none is cut off."""

from dataclasses import replace

import numpy as np
import pytest

from engine.belief import network as networks
from engine.belief.network import UNLISTED, UNLISTED_SHARE, UNLISTED_STRAYS
from engine.belief.posterior import Space
from engine.knowledge import graph as graphs
from tests.reference.gum_networks import inferred
from tests.reference.small_networks import Plain, as_network, drawn

HARD = [(seed, 4 + seed % 4, 4, 1 + seed % 2, False) for seed in range(12)]
SOFT = [(seed, 4 + seed % 4, 4, 1 + seed % 3, True) for seed in range(200, 212)]


def believed(network, findings):
    space = Space(network, len(network.causes))
    belief = space.belief()
    for check, weights in findings.items():
        belief = belief.observe(space.table(check) @ np.array(weights))
    return belief


@pytest.mark.parametrize("case", HARD + SOFT, ids=str)
def test_random_networks(case):
    plain = drawn(*case)
    marginals, chance = inferred(plain)
    belief = believed(as_network(plain), plain.findings)
    assert belief.marginals() == pytest.approx(marginals, abs=1e-6)
    assert belief.evidence == pytest.approx(chance, rel=1e-6)


# Pieces of the shipped knowledge small enough for full tables: the first five causes of each.
PIECES = {
    "water in the way": ["condensate_backs_up"],
    "no flame": ["locks_out_no_flame"],
    "two complaints": ["locks_out_no_flame", "flame_lost_after_lighting"],
}


@pytest.fixture
def piece(knowledge, request):
    """(knowledge cut down to a few causes, complaints)."""
    symptoms = PIECES[request.param]
    suspects = [n for n, cause in knowledge.causes.items() if set(symptoms) & set(cause.seen_with)]
    causes = {name: knowledge.causes[name] for name in suspects[:5]}
    kinds = ("symptoms", "contexts", "cautions", "access", "closing", "checks", "actions")
    entries = {kind: getattr(knowledge, kind) for kind in kinds} | {"causes": causes}
    cut = replace(knowledge, causes=causes, graph=graphs.build(entries))
    return cut, symptoms


def written_out(knowledge, symptoms, context, checks, found) -> Plain:
    """A cut-down knowledge in plain numbers, read from its words by this test alone.

    `found` maps checks to the outcome found; causes that can show a faulty one may stand beside
    the chief cause, and with several complaints every cause that brings one of them.
    """
    factor = {
        cause: knowledge.shifts[word].factor
        for cause, word in (knowledge.contexts[context].shifts if context else {}).items()
    }
    names = list(knowledge.causes)
    weight = {name: entry.weight for name, entry in knowledge.commonness.items()}
    mix = {name: weight[symptom.share] for name, symptom in knowledge.symptoms.items()}

    def odds_times(p, by):
        return by * p / (1 - p + by * p)

    def beside(cause):
        shows = any(
            outcome in cause.shows.get(check, {})
            for check, outcome in found.items()
            if outcome != next(iter(knowledge.checks[check].outcomes))
        )
        return shows or (len(symptoms) > 1 and any(s in cause.seen_with for s in symptoms))

    standing = [
        odds_times(knowledge.standing[cause.standing].probability, factor.get(name, 1))
        if beside(cause)
        else 0.0
        for name, cause in knowledge.causes.items()
    ]
    promoted = {
        (names.index(name), names.index(other)): odds_times(
            standing[names.index(other)], knowledge.shifts[word].factor
        )
        for name, cause in knowledge.causes.items()
        for other, word in cause.promotes.items()
        if other in names and standing[names.index(other)]
    }
    chief, made = [], []
    for symptom in symptoms:
        row = [
            weight[cause.seen_with[symptom]] * factor.get(name, 1)
            if symptom in cause.seen_with
            else 0.0
            for name, cause in knowledge.causes.items()
        ]
        chief.append([(1 - UNLISTED_SHARE) * w / sum(row) for w in row] + [UNLISTED_SHARE])
        shares = []
        for cause in knowledge.causes.values():
            brings = {s: mix[s] * weight[word] for s, word in cause.seen_with.items()}
            shares.append(brings.get(symptom, 0.0) / sum(brings.values()))
        made.append([*shares, UNLISTED_STRAYS])
    total = sum(mix[s] for s in symptoms)
    sound, shown = {}, {}
    for check in checks:
        outcomes = knowledge.checks[check].outcomes
        words = [outcome.in_sound_boiler for outcome in outcomes.values()][1:]
        faulty = [knowledge.words[word].probability for word in words]
        sound[check] = [1 - sum(faulty), *faulty]
        rows = []
        for cause in knowledge.causes.values():
            tried = [
                knowledge.words[cause.shows[check][o]].probability
                if o in cause.shows.get(check, {})
                else 0.0
                for o in list(outcomes)[1:]
            ]
            rows.append([1 - sum(tried), *tried])
        flat = UNLISTED_STRAYS / len(outcomes)
        rows.append([1 - UNLISTED_STRAYS + flat, *[flat] * (len(outcomes) - 1)])
        shown[check] = rows
    return Plain(chief, [mix[s] / total for s in symptoms], [*standing, 0.0], promoted, made,
                 sound, shown)  # fmt: skip


@pytest.mark.parametrize("reliable", [1.0, 0.85])
@pytest.mark.parametrize("with_context", [False, True])
@pytest.mark.parametrize("piece", PIECES, indirect=True)
def test_a_piece_of_the_shipped_knowledge(piece, with_context, reliable):
    knowledge, symptoms = piece
    context = next(
        (name for name, c in knowledge.contexts.items() if set(c.shifts) & set(knowledge.causes)),
        None,
    )
    assert context is not None  # or nothing would be shifted here
    context = context if with_context else None
    checks = _telling(knowledge)
    found = {  # faulty, healthy, faulty, healthy
        check: (_shown(knowledge, check) if place % 2 == 0 else knowledge.checks[check].healthy)
        for place, check in enumerate(checks)
    }
    plain = written_out(knowledge, symptoms, context, checks, found)
    for check, outcome in found.items():
        outcomes = list(knowledge.checks[check].outcomes)
        plain.findings[check] = [
            reliable * (o == outcome) + (1 - reliable) / len(outcomes) for o in outcomes
        ]
    network = networks.build(
        knowledge, symptoms, [context] if context else [], {}, list(found.items())
    )
    assert network.causes == (*knowledge.causes, UNLISTED)
    marginals, chance = inferred(plain)
    belief = believed(network, plain.findings)
    assert belief.marginals() == pytest.approx(marginals, abs=1e-6)
    assert belief.evidence == pytest.approx(chance, rel=1e-6)


def _telling(knowledge):
    """The four checks that most of the causes show something on, and that any boiler has."""
    counts = {
        name: sum(name in cause.shows for cause in knowledge.causes.values())
        for name, check in knowledge.checks.items()
        if not check.only_if
    }
    return sorted(counts, key=lambda name: (-counts[name], name))[:4]


def _shown(knowledge, check):
    """A faulty outcome that one of the causes shows."""
    return next(
        outcome for cause in knowledge.causes.values() for outcome in cause.shows.get(check, {})
    )

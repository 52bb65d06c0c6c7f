"""Belief and planner asked about the state of a visit."""

from collections import OrderedDict
from dataclasses import dataclass

import numpy as np

from engine import planner, safety
from engine.belief import network as networks
from engine.belief.evidence import left_out
from engine.belief.observers import PROOF_PASSES, reliability
from engine.belief.posterior import Belief, Space
from engine.errors import NotAllowed
from engine.knowledge import Knowledge
from engine.visit.findings import Finding, counted, holding
from engine.visit.opened import prevented, required_closing
from engine.visit.proving import waits_for_proof
from engine.visit.state import State

_SPACES: OrderedDict[tuple, Space] = OrderedDict()
_KEPT_SPACES = 8


@dataclass(frozen=True, eq=False)
class Thought:
    """What is believed about a visit.

    Attributes
    ----------
    belief : Belief
        After all findings and repairs.
    before : ndarray, shape (m,)
        Weights before the findings since the last repair.
    likelihoods : mapping of check to (outcome, ndarray of shape (m,))
        P(finding | set) of the findings since the last repair.
    remainder : float
        Posterior mass that larger sets still hold; of the findings before the first repair.
    """

    belief: Belief
    before: np.ndarray
    likelihoods: dict[str, tuple[str, np.ndarray]]
    remainder: float


def think(knowledge: Knowledge, state: State, largest: int = 2) -> Thought:
    """The belief about a visit.

    Raises
    ------
    NotAllowed
        If no complaint was reported: there is nothing to explain yet.
    """
    if not state.symptoms:
        raise NotAllowed("no complaint yet; say what the boiler does")
    space = _space(knowledge, state, largest)
    belief = space.belief()
    remainder = 0.0
    findings = counted(knowledge, state)
    for epoch in range(state.epoch + 1):
        before = belief.weights
        likelihoods, weights = {}, {}
        for finding in findings:
            if finding.epoch == epoch and finding.check in space.network.background:
                seen = outcome_weights(knowledge, finding)
                weights[finding.check] = seen
                likelihoods[finding.check] = (finding.outcome, space.table(finding.check) @ seen)
        for _, likelihood in likelihoods.values():
            belief = belief.observe(likelihood)
        if epoch == 0:
            remainder = left_out(space.network, weights, belief.evidence)
        for run, passed in state.proof_runs:
            if run == epoch:
                belief = belief.observe(_proof_likelihood(space, passed))
        if epoch < state.epoch:
            belief = belief.mend(_works(knowledge, state.done[epoch].action))
    return Thought(belief, before, likelihoods, remainder)


def outcome_weights(knowledge: Knowledge, finding: Finding) -> np.ndarray:
    """Weight of each outcome in the light of what was reported; shape (K,).

    A reading spreads over the bands that its accuracy reaches. An observer who errs reports any
    outcome, so that what he says is mixed with a flat share.
    """
    check = knowledge.checks[finding.check]
    outcomes = list(check.outcomes)
    if finding.banded:
        seen = np.array(finding.banded.weights)
    else:
        seen = np.zeros(len(outcomes))
        seen[outcomes.index(finding.outcome)] = 1.0
    reliable = reliability(knowledge, finding.check, finding.observer)
    return reliable * seen + (1 - reliable) / len(outcomes)


def _space(knowledge, state, largest) -> Space:
    found = tuple(sorted(set(state.found())))
    key = (
        knowledge,
        state.symptoms,
        tuple(sorted(state.contexts)),
        tuple(sorted((k, v) for k, v in state.facts.items() if isinstance(v, str))),
        tuple(sorted(networks.bearing_on(knowledge, found))),
        largest,
    )
    if key not in _SPACES:
        network = networks.build(knowledge, state.symptoms, state.contexts, state.facts, found)
        _SPACES[key] = Space(network, largest)
        while len(_SPACES) > _KEPT_SPACES:
            _SPACES.popitem(last=False)
    _SPACES.move_to_end(key)
    return _SPACES[key]


def _works(knowledge, action) -> dict[str, float]:
    """How surely an action mends each cause that it can mend."""
    return {
        name: knowledge.probability(cause.mended_by[action])
        for name, cause in knowledge.causes.items()
        if action in cause.mended_by
    }


def _proof_likelihood(space, passed) -> np.ndarray:
    likelihood = np.full(len(space.sets), PROOF_PASSES["faulty"])
    likelihood[0] = PROOF_PASSES["sound"]
    return likelihood if passed else 1 - likelihood


def situation(knowledge: Knowledge, state: State, thought: Thought) -> planner.Situation:
    """What can be done now, as the planner sees it."""
    blocked = prevented(knowledge, state)
    unable = set(state.skipped)
    unable |= {
        name
        for name, check in knowledge.checks.items()
        if check.only_with and not set(check.only_with) & set(state.symptoms)
    }
    if blocked:
        unable |= {
            name
            for kind in ("checks", "actions")
            for name in getattr(knowledge, kind)
            if blocked & set(safety.opened_for(knowledge, kind, name))
        }
    held = holding(knowledge, state)
    found = {name: finding.outcome for name, finding in held.items()}
    before = {}
    for name in knowledge.actions:
        missing, against = safety.unmet(knowledge, state.facts, name, found)
        if against or any(c in unable or not _may(knowledge, state, c) for c in missing):
            unable.add(name)
        elif missing:
            before[name] = sum(knowledge.checks[check].minutes for check in missing)
    return planner.situation(
        knowledge,
        thought.belief,
        who=state.who,
        facts=state.facts,
        made=set(held),
        found=state.latest(),
        unable=unable,
        opened=state.opened,
        obliged=required_closing(knowledge, state),
        tried={done.action for done in state.done},
        unproven={done.action for done in state.since_proof()},
        pending=waits_for_proof(knowledge, state),
        before=before,
    )


def _may(knowledge, state, check) -> bool:
    return safety.allowed(knowledge, state.who, "checks", check)

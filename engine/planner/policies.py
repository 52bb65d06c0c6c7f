"""Other ways to choose the next step, which ours is compared with; each sees one place.

================== ==========================================================================
paper_chart         checks in the order listed until one cause is clearly first, then repairs
probability_over_cost  repairs only, by updated probability over cost, referring at the best cut
information_gain    what tells most per minute until the first suspect is sure, then its repair
myopic              a check where its cost is less than it saves at once [1]_
two_step            the same, looking at one more check or repair after it [2]_
ours                the planner that is shipped
================== ==========================================================================

All of them prove a repair at once, but for the last three, which prove where the order of repairs
they compare with says so (`engine.planner.repairing`). None makes a check twice or does a repair
twice, or one that nothing justifies yet.

.. [1] D. Heckerman, J. S. Breese, K. Rommelse, "Decision-theoretic troubleshooting",
   Communications of the ACM 38(3) (1995) 49-57.
.. [2] F. V. Jensen et al., "The SACSO methodology for troubleshooting complex systems",
   AI EDAM 15 (2001) 321-333: a question is asked now or after the best action.
"""

from collections.abc import Callable

import numpy as np

from engine.planner import rollout
from engine.planner.problem import Problem
from engine.planner.repairing import Plan, plan
from engine.planner.stand import Stand, check, prove, referred, repair
from engine.planner.steps import CHECK, LEAST_CHANCE, PROOF, REFER, REPAIR, Step
from engine.planner.tree import LEAST_BITS, LEAST_MINUTES, mended, told

Policy = Callable[[Problem, Stand], Step]

CLEAR = 0.8
"""From here on a cause is clearly first on a paper chart. Judgement."""

SURE = 0.8
"""From here on the first suspect counts as found by `information_gain`; a parameter there."""

FIRST_CHECKS, SECOND_CHECKS = 24, 12
"""How many checks `two_step` looks at, now and afterwards; all, in problems with 12 or fewer."""

BLOCK = 1_000_000
"""Numbers of one belief array worked on at once, to bound memory."""


def paper_chart(problem: Problem, at: Stand) -> Step:
    """Checks in the order in which they are listed, until one cause is clearly first.

    Then, and when no check is left, the repairs by how likely each is to help as things stand,
    whatever they take; a proof after each. If no repair is left, it refers.

    Examples
    --------
    >>> from engine.planner.neutral import read
    >>> from engine.planner.stand import start
    >>> problem, weights = read({
    ...     "causes": [{"id": "a", "prior": 0.3, "repair": {"minutes": 5}},
    ...                {"id": "b", "prior": 0.7, "repair": {"minutes": 9}}],
    ...     "checks": [{"id": "t", "minutes": 60, "outcomes": ["no", "yes"],
    ...                 "otherwise": [1, 0], "given": {"a": [0, 1]}}],
    ...     "refer": {"minutes": 60}})
    >>> paper_chart(problem, start(problem, weights))
    Step(kind='check', index=0)
    """
    if at.pending[0]:
        return Step(PROOF)
    left = np.flatnonzero(~at.made[0])
    likeliest = _likeliest(problem, at)
    if len(left) and (likeliest is None or _suspected(problem, at).max() < CLEAR):
        return Step(CHECK, int(left[0]))
    return Step(REFER) if likeliest is None else likeliest


def probability_over_cost(problem: Problem, at: Stand) -> Step:
    """No checks: the repair most likely to help per minute, as long as that beats referring.

    Minutes are with opening from what is open now and with the proof that follows. It goes on as
    far as the best place to stop is not here.

    Examples
    --------
    Probabilities .30 .25 .05 .10 of help by repairs of 10 15 20 30 minutes, referral 60: the first
    two are worth it, what is left then is referred.

    >>> from engine.planner.evaluation import expected
    >>> from engine.planner.neutral import read
    >>> from engine.planner.stand import start
    >>> some = zip("abcd", [.30, .25, .05, .10], [10, 15, 20, 30])
    >>> problem, weights = read({
    ...     "causes": [{"id": "x", "prior": .3}] + [
    ...         {"id": i, "prior": p, "repair": {"minutes": c}} for i, p, c in some],
    ...     "refer": {"minutes": 60}})
    >>> round(expected(problem, start(problem, weights), probability_over_cost), 9)
    47.5
    """
    if at.pending[0]:
        return Step(PROOF)
    refer, first, spent, going = float(referred(problem, at)[0]), None, 0.0, 1.0
    while going > 1e-12:
        chance, price = _mending(problem, at)
        if chance.max(initial=0.0) <= LEAST_CHANCE:
            break
        chosen = (chance / np.maximum(price, 1e-9)).argmax()
        minutes, at = repair(problem, at, np.array([chosen]))
        proof, fails, at = prove(problem, at)
        spent += going * float(minutes[0] + proof[0])
        going *= float(fails[0])
        first = int(chosen) if first is None else first
        if spent + going * float(referred(problem, at)[0]) < refer - 1e-9:
            return Step(REPAIR, first)
    return Step(REFER)


def information_gain(problem: Problem, at: Stand, sure: float = SURE) -> Step:
    """The check with most bits per minute, until the first suspect is sure enough.

    Then, and when nothing tells any more, the repair most likely to help, a proof after each. To
    be fair, it refers as soon as that repair saves less of a referral than it takes.

    Parameters
    ----------
    sure : float
        Probability of the first suspect from which on it counts as found.

    Examples
    --------
    >>> from engine.planner.neutral import read
    >>> from engine.planner.stand import start
    >>> problem, weights = read({
    ...     "causes": [{"id": "a", "prior": 0.3, "repair": {"minutes": 5}},
    ...                {"id": "b", "prior": 0.7, "repair": {"minutes": 9}}],
    ...     "checks": [{"id": "t", "minutes": 60, "outcomes": ["no", "yes"],
    ...                 "otherwise": [1, 0], "given": {"a": [0, 1]}}],
    ...     "refer": {"minutes": 60}})
    >>> information_gain(problem, start(problem, weights))
    Step(kind='check', index=0)
    >>> information_gain(problem, start(problem, weights), sure=0.6)
    Step(kind='repair', index=1)
    """
    if at.pending[0]:
        return Step(PROOF)
    bits, minutes = told(problem, at)
    tells = bits[0] > LEAST_BITS
    suspected = _suspected(problem, at)
    first = suspected.argmax()
    waits = (problem.repairs.works[:, first] > 0) & ~at.tried[0] & ~at.justified[0]
    if tells.any() and (suspected[first] < sure or waits.any()):
        rate = np.where(tells, bits[0] / np.maximum(minutes[0], LEAST_MINUTES), 0.0)
        return Step(CHECK, int(rate.argmax()))
    likeliest = _likeliest(problem, at)
    if likeliest is None:
        return Step(REFER)
    chance, price = _mending(problem, at)
    saves = chance[likeliest.index] * problem.refer_minutes > price[likeliest.index]
    return likeliest if saves else Step(REFER)


def myopic(problem: Problem, at: Stand) -> Step:
    """A check where it costs less than it saves at once; otherwise the cheapest repairs.

    What is left after each answer is priced as repairing without another check.

    Examples
    --------
    Telling apart two causes of 0.5 each saves half of the first repair, 20 / 2 minutes.

    >>> from engine.planner.neutral import read
    >>> from engine.planner.stand import start
    >>> def first(minutes):
    ...     problem, weights = read({
    ...         "causes": [{"id": i, "prior": 0.5, "repair": {"minutes": 20}} for i in "ab"],
    ...         "checks": [{"id": "t", "minutes": minutes, "outcomes": ["no", "yes"],
    ...                     "otherwise": [1, 0], "given": {"a": [0, 1]}}],
    ...         "refer": {"minutes": 600}})
    ...     return myopic(problem, start(problem, weights)).kind
    >>> first(9.9), first(10.1)
    ('check', 'repair')
    """
    now = plan(problem, at)
    which, price = _checks(problem, at, _plain)
    if len(which) and price.min() < now.minutes[0] - 1e-9:
        return Step(CHECK, int(which[price.argmin()]))
    return _first(problem, at, now)


def two_step(problem: Problem, at: Stand) -> Step:
    """As `myopic`, but one more check may be made after each answer, or after failed repairs.

    With more than 12 checks it looks at the 24 that are best for `myopic`, and after each at the 12
    that tell most per minute.

    Examples
    --------
    Four causes alike; each of two checks halves them. One check saves 10 minutes of the 50 that
    repairs without a check take, both together 30.

    >>> from engine.planner.neutral import read
    >>> from engine.planner.stand import start
    >>> def check(name, minutes, causes):
    ...     return {"id": name, "minutes": minutes, "outcomes": ["no", "yes"],
    ...             "otherwise": [1, 0], "given": {i: [0, 1] for i in causes}}
    >>> problem, weights = read({
    ...     "causes": [{"id": i, "prior": 0.25, "repair": {"minutes": 20}} for i in "abcd"],
    ...     "checks": [check("s", 21, "ab"), check("t", 2, "ac")], "refer": {"minutes": 600}})
    >>> two_step(problem, start(problem, weights))
    Step(kind='check', index=1)
    """
    now = plan(problem, at)
    which, price = _checks(problem, at, _plain)
    which = which[np.argsort(price, kind="stable")[:FIRST_CHECKS]]
    which, price = _checks(problem, at, _checked, np.sort(which))
    onward = float(_through(problem, at, now.order, now.batch)[0])
    if len(which) and price.min() < onward - 1e-9:
        return Step(CHECK, int(which[price.argmin()]))
    if at.pending[0] and now.batch[0] != 0:
        proven = _through(problem, at, now.order, np.zeros(1, dtype=np.intp))
        if proven[0] < onward - 1e-9:
            return Step(PROOF)
    return _first(problem, at, now)


def ours(problem: Problem, at: Stand) -> Step:
    """The first of `engine.planner.rollout.rank`.

    Examples
    --------
    >>> from engine.planner.neutral import read
    >>> from engine.planner.stand import start
    >>> problem, weights = read({
    ...     "causes": [{"id": "a", "prior": 0.3, "repair": {"minutes": 5}},
    ...                {"id": "b", "prior": 0.7, "repair": {"minutes": 9}}],
    ...     "refer": {"minutes": 60}})
    >>> ours(problem, start(problem, weights))
    Step(kind='repair', index=1)
    """
    return rollout.rank(problem, at)[0].step


POLICIES: dict[str, Policy] = {
    policy.__name__: policy
    for policy in (paper_chart, probability_over_cost, information_gain, myopic, two_step, ours)
}
"""All of them by name, in the order in which tables show them."""


def _suspected(problem, at) -> np.ndarray:
    """Probability that each cause must be mended; shape (n,)."""
    return at.weights[0] @ problem.to_mend


def _mending(problem, at) -> tuple[np.ndarray, np.ndarray]:
    """(chance that each repair mends something; minutes with opening and proof), shape (r,)."""
    repairs = problem.repairs
    can = ~at.tried[0] & at.justified[0]
    opening = problem.layers.opening(at.opened, repairs.wanted)[0]
    chance = np.where(can, repairs.works @ _suspected(problem, at), 0.0)
    return chance, repairs.minutes + opening + problem.proof_minutes + problem.closing_minutes


def _likeliest(problem, at) -> Step | None:
    chance, _ = _mending(problem, at)
    if chance.max(initial=0.0) <= LEAST_CHANCE:
        return None
    return Step(REPAIR, int(chance.argmax()))


def _first(problem, at, now: Plan) -> Step:
    """The first step of repairing without another check, or the check that must justify it."""
    if now.batch[0] < 0:
        return Step(REFER)
    if now.batch[0] == 0:
        return Step(PROOF)
    chosen = int(now.order[0, 0])
    if at.justified[0, chosen]:
        return Step(REPAIR, chosen)
    columns = problem.repairs.justifies[:, chosen]
    may = np.unique(problem.checks.owner[columns])
    may = may[~at.made[0, may]]
    if at.pending[0] or not len(may):
        return Step(REFER)
    which, price = _checks(problem, at, _plain, may)
    return Step(CHECK, int(which[price.argmin()]))


def _checks(problem, at, leaf, which=None) -> tuple[np.ndarray, np.ndarray]:
    """(checks worth looking at from one place; each with what `leaf` says of its answers)."""
    if which is None:
        bits, _ = told(problem, at)
        which = np.flatnonzero(bits[0] > LEAST_BITS)
    return which, _priced(problem, at, np.zeros(len(which), dtype=np.intp), which, leaf)


def _priced(problem, at, rows, which, leaf) -> np.ndarray:
    """Minutes of checks, each from a place of its own, with those of `leaf` after them."""
    blocks = np.array_split(np.arange(len(rows)), 1 + len(rows) * len(problem.sets) // BLOCK)
    result = np.zeros(len(rows))
    for block in blocks:
        if len(block):
            minutes, source, chance, after = check(problem, at[rows[block]], which[block])
            onward = np.bincount(source, chance * leaf(problem, after), minlength=len(block))
            result[block] = minutes + onward
    return result


def _plain(problem, at) -> np.ndarray:
    """Repairing without another check; shape (R,)."""
    return plan(problem, at).minutes


def _checked(problem, at) -> np.ndarray:
    """Repairing without another check, or with one check before; shape (R,)."""
    best = _plain(problem, at)
    bits, minutes = told(problem, at)
    rate = np.where(bits > LEAST_BITS, bits / np.maximum(minutes, LEAST_MINUTES), -1.0)
    most = np.argsort(-rate, axis=1, kind="stable")[:, :SECOND_CHECKS]
    rows, place = np.nonzero(np.take_along_axis(rate, most, 1) > 0)
    if len(rows):
        np.minimum.at(best, rows, _priced(problem, at, rows, most[rows, place], _plain))
    return best


def _through(problem, at, order, batch) -> np.ndarray:
    """The first repairs of a plan to their proof, with `_checked` where it fails; shape (R,)."""
    if batch[0] < 0:
        return referred(problem, at)
    minutes, fails, after = mended(problem, at, order, batch)
    if fails[0] <= 1e-12:
        return minutes
    return minutes + fails * _checked(problem, after)

"""Which step next: the least expected minutes to a proven repair or a justified referral.

One narrow door: `rank(situation)` takes what can be done now and what is believed, and returns
the steps with their expected minutes, best first. For the reasons of a step: `price` of one that a
person chooses instead, `foresee` what each answer leads to, `compared` one against another,
`before_proof` what is done along with a repair, `way` what has to be opened.

`problem`   steps and what they do to where one stands
`repairing` repairing without another check: order, proofs, referral
`tree`      the base policy, and what following it comes to
`steps`     which steps are worth a look, and where they lead
`rollout`   every step priced by the base policy after it, `lookahead` further in small problems
`situation` from the knowledge and the state of a visit, `access` what opening costs
`outlook`   what a step leads to, and what it costs against another
`ranking`   the answer in the names of the knowledge
`neutral`   any problem in a neutral form; `form` read from a file, `solving` answered
`policies`  other ways to choose, `evaluation` what following one comes to
`exact`     the optimum of small problems, a yardstick only
"""

from engine.planner.access import Way, way
from engine.planner.outlook import (
    Difference,
    Outlook,
    before_proof,
    compared,
    foresee,
)
from engine.planner.ranking import Option, Ranking, price, rank
from engine.planner.situation import Situation, beyond_hands, situation

__all__ = [
    "Difference", "Option", "Outlook", "Ranking", "Situation", "Way", "before_proof",
    "beyond_hands", "compared", "foresee", "price", "rank", "situation", "way",
]  # fmt: skip

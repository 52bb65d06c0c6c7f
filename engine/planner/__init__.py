"""Which step next: the least expected minutes to a proven repair or a justified referral.

One narrow door: `rank(situation)` takes what can be done now and what is believed, and returns
the steps with their expected minutes, best first; `price` does it for one step that a person
chooses instead.

`problem`   steps and what they do to where one stands
`repairing` repairing without another check: order, proofs, referral
`tree`      the base policy, and what following it comes to
`rollout`   every step priced by the base policy after it
`situation` from the knowledge and the state of a visit, `access` what opening costs
`ranking`   the answer in the names of the knowledge
`neutral`   any problem in a neutral form; `form` read from a file, `solving` answered
`policies`  other ways to choose, `evaluation` what following one comes to
`exact`     the optimum of small problems, a yardstick only
"""

from engine.planner.ranking import Option, Ranking, price, rank
from engine.planner.situation import Situation, situation

__all__ = ["Option", "Ranking", "Situation", "price", "rank", "situation"]

"""Which step next: the least expected minutes to a proven repair or a justified referral.

One narrow door: `rank(situation)` takes what can be done now and what is believed, and returns
the steps with their expected minutes, best first. `engine.planner.situation` builds a Situation
from the knowledge and the state of a visit.
"""

from engine.planner.myopic import Option, Ranking, rank
from engine.planner.situation import Situation, situation

__all__ = ["Option", "Ranking", "Situation", "rank", "situation"]

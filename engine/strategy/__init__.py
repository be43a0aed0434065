"""Which check, repair or hand-on next: the one with the least expected cost, in minutes, to the end of the job."""

from engine.strategy.options import Situation
from engine.strategy.planner import Aim, Appraisal, Explanation, Outcome, Planner

__all__ = ["Aim", "Appraisal", "Explanation", "Outcome", "Planner", "Situation"]

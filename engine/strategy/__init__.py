"""Which check, repair or hand-on next: the one with the least expected cost, in minutes, to the end of the job."""

from engine.strategy.planner import Aim, Appraisal, Explanation, Outcome, Planner, Situation

__all__ = ["Aim", "Appraisal", "Explanation", "Outcome", "Planner", "Situation"]

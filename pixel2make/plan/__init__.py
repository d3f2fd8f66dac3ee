"""The plan: a reading as a TOML file that the maker may change by hand."""

from pixel2make.plan.apply import overrides_of
from pixel2make.plan.merge import merge_plan, moved_plan
from pixel2make.plan.model import Plan, PlanSize, PlanView
from pixel2make.plan.read import parse_plan
from pixel2make.plan.write import ChoiceLine, plan_text

__all__ = [
    "ChoiceLine",
    "Plan",
    "PlanSize",
    "PlanView",
    "merge_plan",
    "moved_plan",
    "overrides_of",
    "parse_plan",
    "plan_text",
]

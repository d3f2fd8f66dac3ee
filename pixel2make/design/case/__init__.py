"""A display case for a closed object: cover of acrylic, base of wood, light. It knows no kind of object."""

from pixel2make.design.case.build import design_case
from pixel2make.design.case.model import Bend, Bent, CaseDesign, Held, Pose
from pixel2make.design.case.questions import CASE, case_keys

__all__ = ["CASE", "Bend", "Bent", "CaseDesign", "Held", "Pose", "case_keys", "design_case"]

"""The display case in the pack: drawings, cut sheets, wiring, the light's program and how to make it."""

from pixel2make.pack.case.files import case_files
from pixel2make.pack.case.held import case_of

__all__ = ["case_files", "case_of"]

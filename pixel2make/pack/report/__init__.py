"""The report: one page that shows the whole pack."""

from pixel2make.pack.report.page import INDEX, report_bytes

__all__ = ["INDEX", "report_bytes"]

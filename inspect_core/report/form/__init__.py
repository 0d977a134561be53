"""The survey form: one page for a phone under a floor, and a blank sheet for paper, both made from the schema."""

from inspect_core.report.form.describe import describe
from inspect_core.report.form.pages import form_html, sheet_html

__all__ = ["describe", "form_html", "sheet_html"]

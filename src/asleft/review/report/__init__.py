"""The report of a visit: one page that needs nothing else, and twenty lines for a message."""

from asleft.review.report.given import Entered, Given
from asleft.review.report.html import MARK, as_html, session_of
from asleft.review.report.page import Page, page
from asleft.review.report.text import as_text

__all__ = ["MARK", "Entered", "Given", "Page", "as_html", "as_text", "page", "session_of"]

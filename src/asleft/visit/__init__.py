"""The one room with state: an open session and its view."""

from asleft.visit.refusal import Refused
from asleft.visit.view import View, look
from asleft.visit.visit import RULES, SaveFailed, Visit

__all__ = ["RULES", "Refused", "SaveFailed", "View", "Visit", "look"]

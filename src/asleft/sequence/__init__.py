"""The ordered work of entering settings."""

from asleft.sequence.plan import plan
from asleft.sequence.steps import Step

__all__ = ["Step", "plan"]

"""The ordered work of entering settings."""

from asleft.sequence.plan import Step, plan

__all__ = ["Step", "plan"]

"""Which work is open, and the one thing to do next."""

from asleft.guide.next import Next, holds_on, next_thing, pane_of_role

__all__ = ["Next", "holds_on", "next_thing", "pane_of_role"]

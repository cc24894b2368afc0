"""Which work is open, and the one thing to do next."""

from asleft.guide.next import next_thing
from asleft.guide.thing import Next, holds_on
from asleft.guide.work import pane_of_role

__all__ = ["Next", "holds_on", "next_thing", "pane_of_role"]

"""Visits to an invented site with a virtual unit: set up, and played without a person."""

from asleft.unattended.jobs import Job, Played, begin, play, virtual_unit

__all__ = ["Job", "Played", "begin", "play", "virtual_unit"]

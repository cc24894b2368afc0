"""What a closer look at a session says that a glance does not."""

from __future__ import annotations

from typing import NamedTuple


class Closer(NamedTuple):
    """What comes next in an open visit, or why it cannot be gone on with."""

    next: str = ""
    trouble: str = ""

"""What typed text would mean, before it counts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.face.meaning import meant

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument
    from asleft.visit import View


def echo(view: View, instruments: Mapping[str, Instrument], left: str, text: str, system: str) -> str:
    """The value in both unit systems, the one in use first; empty while the text means nothing yet."""
    shown = meant(view, instruments, left, text, system)
    return f"reads as {', '.join(shown)}; Enter takes it" if shown else ""

"""What typed text would mean, before it counts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.face.meaning import meant

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument
    from asleft.face.rows import Row
    from asleft.visit import View


def echo(view: View, instruments: Mapping[str, Instrument], row: Row, text: str, system: str) -> str:
    """The value in both unit systems, the one in use first, or the choice that a key names.

    Empty while the text means nothing yet.
    """
    if row.choices:
        choice = row.meant(text)
        return f"reads as {choice}; Enter takes it" if choice != text.strip() else ""
    shown = meant(view, instruments, row.act, text, system)
    return f"reads as {', '.join(shown)}; Enter takes it" if shown else ""

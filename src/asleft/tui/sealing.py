"""Sealing from the screen: ssh-keygen may have to ask for a passphrase or a touch."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import SuspendNotSupported

from asleft.journal import Signer, sign

if TYPE_CHECKING:
    from textual.screen import Screen


def signer_on(screen: Screen[None]) -> Signer:
    """Signs with the terminal handed to ssh-keygen meanwhile; where that cannot be, without asking."""

    def signed(link: str, key: Path) -> Sequence[str]:
        try:
            with screen.app.suspend():
                return sign(link, key)
        except SuspendNotSupported:
            return sign(link, key, ask=False)

    return signed

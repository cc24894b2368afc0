"""What a drill promises at its beginning and shows at its end: a salted hash of its hidden sheet."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256


def commitment(sheet: Sequence[str], salt: str) -> str:
    """SHA-256, in lower-case hex, of the salt, a line feed, and the sheet's lines joined by line feeds.

    >>> commitment(["a = 1", "b = 2"], "salt") == sha256(b"salt\\na = 1\\nb = 2").hexdigest()
    True
    """
    return sha256("\n".join((salt, *sheet)).encode()).hexdigest()

"""What session files are called."""

from __future__ import annotations

import re
import unicodedata
from datetime import date as Date

SAFE_STEM = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9-]*[A-Za-z0-9])?", re.ASCII)
LONGEST = 120
"""The longest stem, in characters, that leaves room on every file system for what is added to it."""

_PART = 40


def _part(text: str, otherwise: str) -> str:
    letters = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return re.sub(r"[^A-Za-z0-9]+", "-", letters)[: _PART + 1].strip("-")[:_PART].strip("-") or otherwise


def stem(date: Date | str, site: str, unit: str) -> str:
    """``DATE-SITE-UNIT`` of letters, digits and hyphens, whatever the site and the unit are called.

    Accents are dropped, everything else that is no Latin letter or digit becomes a hyphen, and each part is
    cut to 40 characters. A part of which nothing is left is called by what it is.

    >>> stem("2031-05-04", "Höhe & Söhne, 3rd floor", "AH/1")
    '2031-05-04-Hohe-Sohne-3rd-floor-AH-1'
    >>> stem(Date(2031, 5, 4), "../../etc/passwd", "\\x1b[2J")
    '2031-05-04-etc-passwd-2J'
    """
    day = f"{date:%Y-%m-%d}" if isinstance(date, Date) else date
    return "-".join((_part(day, "undated"), _part(site, "site"), _part(unit, "unit")))


def safe_stem(text: str) -> str:
    """A stem as near to this text as letters, digits and hyphens allow.

    >>> safe_stem("AH 1 (copy)")
    'AH-1-copy'
    """
    return text if is_safe_stem(text) else _part(text, "session")


def is_safe_stem(text: str) -> bool:
    """Whether this is letters, digits and hyphens, and not too long to be a file's name."""
    return len(text) <= LONGEST + 10 and SAFE_STEM.fullmatch(text) is not None

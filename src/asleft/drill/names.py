"""Invented people, houses and serial numbers for invented sites."""

from __future__ import annotations

import re
from random import Random

GIVEN = (
    "Ada",
    "Birk",
    "Cleo",
    "Dov",
    "Edda",
    "Finn",
    "Greta",
    "Hale",
    "Ines",
    "Jory",
    "Kaja",
    "Lorne",
    "Mina",
    "Odd",
)
FAMILY = (
    "Ashdown",
    "Brenner",
    "Calder",
    "Dunmore",
    "Ekwall",
    "Farrow",
    "Gantry",
    "Hollis",
    "Imrie",
    "Jessop",
)
HOUSES = (
    "Larkspur Lane",
    "Quarry Rise",
    "Millrace Close",
    "Harrow Bank",
    "Tanner Row",
    "Fennel Court",
    "Slate Hill",
    "Orchard Foot",
    "Saltern Way",
)

_PIECE = re.compile(r"(\\.|\[[^\]]+\]|[^\\\[\]{}?*+|()])(\{(\d+)(?:,\d+)?\}|[?*+])?")


def serial(random: Random, pattern: str | None) -> str:
    """A serial number of a maker's pattern; a plain one where there is none or it is too rich to follow."""
    plain = f"SN{random.randrange(10**6):06}"
    if pattern is None:
        return plain
    made, at = "", 0
    while at < len(pattern):
        piece = _PIECE.match(pattern, at)
        if piece is None:
            return plain
        count = int(piece[3]) if piece[3] else 0 if piece[2] in ("?", "*") else 1
        made += "".join(_one(random, piece[1]) for _ in range(count))
        at = piece.end()
    return made if re.fullmatch(pattern, made) else plain


def _one(random: Random, piece: str) -> str:
    """A character that a literal, an escape or a class stands for."""
    if piece == r"\d":
        return random.choice("0123456789")
    if piece.startswith("\\"):
        return piece[1]
    if not piece.startswith("["):
        return piece
    inside, letters = piece[1:-1], ""
    for span in re.finditer(r"(.)-(.)|(.)", inside):
        letters += "".join(map(chr, range(ord(span[1]), ord(span[2]) + 1))) if span[1] else span[3]
    return random.choice(letters)

"""Conductor sizes: names, not numbers."""

from __future__ import annotations

import re
import unicodedata

from asleft.quantity.errors import QuantityError

_EXPECTED = 'a size such as "8 AWG", "1/0" or "6 mm2"'
_NOUGHTS = re.compile(r"(?:awg ?|# ?)?([1-4])/0(?: ?awg)?")
_GAUGE = re.compile(r"(?:awg ?|# ?|no ?)([0-9]{1,2})|([0-9]{1,2}) ?awg")
_METRIC = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,2})?) ?(?:mm ?\^?2|sq ?mm|mmq)")
_MILS = re.compile(r"([0-9]{3,4}) ?(?:kcmil|mcm)")


def parse_size(text: str) -> str:
    """Give the canonical name of a typed conductor size.

    A bare number is refused, because 6 may be 6 AWG or 6 mm2; ``1/0`` is complete in itself.

    >>> parse_size("8awg"), parse_size("1/0"), parse_size("2.5 mm²")
    ('8 AWG', '1/0 AWG', '2.5 mm2')
    """
    plain = " ".join(unicodedata.normalize("NFKC", text).casefold().replace("no.", "no").split())
    if "," in plain:
        raise QuantityError(f"{text!r}: a comma is never part of a number", found=text, expected=_EXPECTED)
    if match := _NOUGHTS.fullmatch(plain):
        return f"{match[1]}/0 AWG"
    if match := _GAUGE.fullmatch(plain):
        gauge = int(match[1] or match[2])
        return "1/0 AWG" if gauge == 0 else f"{gauge} AWG"
    if match := _METRIC.fullmatch(plain):
        return f"{float(match[1]):g} mm2"
    if match := _MILS.fullmatch(plain):
        return f"{match[1]} kcmil"
    if re.fullmatch(r"[0-9.]+", plain):
        raise QuantityError(f"{text!r} has no unit: AWG or mm2?", found=text, expected=_EXPECTED)
    raise QuantityError(f"{text!r} is not a conductor size", found=text, expected=_EXPECTED)

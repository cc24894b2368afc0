"""Read what a person types as a quantity."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass

from asleft.quantity.errors import QuantityError
from asleft.quantity.kinds import Kind, Unit, kind_of
from asleft.quantity.units import expected_units, find_unit

LONGEST = 400
"""The longest text read as a quantity; a series of readings fits."""

_NUMBER = re.compile(
    r"\s*(?P<sign>[+\-−–]?)\s*"
    r"(?P<digits>[0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?:\.[0-9]*)?|[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
    r"(?P<exponent>[eE][+\-−]?[0-9]{1,3})?"
    r"(?P<rest>.*)",
    re.DOTALL,
)
_RAISED = re.compile("[0-9.]\\s*[\u00b2\u00b3\u00b9\u2070\u2074-\u2079\u2080-\u2089]")
_PLUS_MINUS = re.compile(r"±|\+\s*/\s*[-−–]|\+[-−]")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity as typed and as meant.

    ``value`` is in the kind's base unit and is the mean of ``readings`` where several were typed.
    ``plus_minus`` is the typed limit a, the value lying anywhere within ±a, in the base unit of a difference.
    """

    value: float
    kind: str
    typed: str
    plus_minus: float | None
    readings: tuple[float, ...]


def parse(text: str, kind: str, *, bare_unit: str | None = None, plausible: bool = False) -> Quantity:
    """Read one typed quantity, or several readings of it separated by semicolons.

    ``bare_unit`` is the unit that a number without one takes, usually the unit shown beside the field; None
    refuses a bare number, except for a kind that has no unit. ``plausible`` also holds the value to the range
    of the kind.
    Raises QuantityError for anything that cannot be read with certainty.

    >>> parse('.52"', "static_pressure").value
    129.5262332
    >>> parse("238.1; 238.4; 238.2 V ± 1.8", "voltage").plus_minus
    1.8
    """
    found = kind_of(kind)
    plain = unicodedata.normalize("NFKC", text).strip()
    _refuse_whole(text, plain, found)
    if _RAISED.search(text):
        raise QuantityError(
            f"{text!r}: a raised or lowered digit is no part of a number",
            found=text,
            expected=expected_units(found),
        )
    body, limit_text = _split_limit(plain, text, found)
    pairs = [_number_and_unit(part, text, found) for part in body.split(";")]
    limit = None if limit_text is None else _number_and_unit(limit_text, text, found)
    last = pairs[-1][1]
    if not last and limit is not None and limit[1] not in ("", "%"):
        last = limit[1]
    default = _unit(last, bare_unit, text, found)
    readings = []
    for number, spelling in pairs:
        unit = find_unit(found, spelling) if spelling else default
        value = unit.to_base(number)
        readings.append(_checked(value, text, found, plausible))
    mean = math.fsum(readings) / len(readings)
    plus_minus = None if limit is None else _limit(limit, default, mean, text, found)
    return Quantity(mean, kind, text, plus_minus, tuple(readings))


def _refuse_whole(text: str, plain: str, kind: Kind) -> None:
    expected = expected_units(kind)
    if not plain:
        raise QuantityError("nothing was typed", found=text, expected=expected)
    if len(plain) > LONGEST:
        raise QuantityError(
            f"{len(plain)} characters are too many for a quantity", found=text[:LONGEST], expected=expected
        )
    if "," in plain:
        raise QuantityError(
            f"{text!r}: a comma is never part of a number, since 1,5 may mean 1.5 or 15",
            found=text,
            expected="a point for decimals and a space or nothing between thousands",
        )


def _split_limit(plain: str, text: str, kind: Kind) -> tuple[str, str | None]:
    parts = _PLUS_MINUS.split(plain)
    if len(parts) > 2:
        raise QuantityError(f"{text!r} has more than one ±", found=text, expected=expected_units(kind))
    return parts[0], (parts[1] if len(parts) == 2 else None)


def _number_and_unit(part: str, text: str, kind: Kind) -> tuple[float, str]:
    match = _NUMBER.fullmatch(part)
    if match is None:
        raise QuantityError(
            f"{text!r} has no number where one belongs", found=text, expected=expected_units(kind)
        )
    rest = match["rest"]
    unit = rest.strip()
    if unit[:1].isdigit() or unit[:1] in (".", "+", "-", "−", "–") or (unit[:1] in "/⁄" and unit):
        raise QuantityError(
            f"{text!r} is not one plain number with its unit", found=text, expected=expected_units(kind)
        )
    sign = "-" if match["sign"] in ("-", "−", "–") else ""
    exponent = (match["exponent"] or "").replace("−", "-")
    return float(sign + match["digits"].replace(" ", "") + exponent), unit


def _unit(spelling: str, bare_unit: str | None, text: str, kind: Kind) -> Unit:
    if spelling:
        return find_unit(kind, spelling)
    if bare_unit is not None:
        return find_unit(kind, bare_unit)
    if kind.bare:
        return kind.units[kind.base_unit]
    raise QuantityError(f"{text!r} has no unit", found=text, expected=expected_units(kind))


def _checked(value: float, text: str, kind: Kind, plausible: bool) -> float:
    if not math.isfinite(value):
        raise QuantityError(f"{text!r} is not a finite number", found=text, expected=expected_units(kind))
    if kind.id == "count" and not value.is_integer():
        raise QuantityError(f"{text!r} is not a whole number", found=text, expected="a whole number")
    if plausible and kind.lowest is not None and kind.highest is not None:
        shown = kind.units[kind.ip_unit]
        low, high = (shown.from_base(bound) for bound in (kind.lowest, kind.highest))
        if not kind.lowest <= value <= kind.highest:
            raise QuantityError(
                f"{text!r} is not a plausible {kind.label}",
                found=text,
                expected=f"{low:.6g} to {high:.6g} {kind.ip_unit}",
            )
    return value


def _limit(limit: tuple[float, str], default: Unit, mean: float, text: str, kind: Kind) -> float:
    number, spelling = limit
    if spelling == "%" and kind.id not in ("ratio", "percent"):
        value = abs(mean) * number / 100
    else:
        unit = default if not spelling else find_unit(kind, spelling)
        value = unit.size(number)
    if not math.isfinite(value) or value < 0:
        raise QuantityError(f"{text!r}: what follows ± is not a size", found=text, expected="± and a number")
    return value

"""An instrument's accuracy as a maker prints it: PERCENT % + COUNTS x RESOLUTION + ABSOLUTE."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from asleft.quantity import KINDS, QuantityError, parse

_LONGEST = 200
_DIFFERENCE = {"temperature": "temperature_difference"}
_PERCENT = re.compile(r"([0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*%")
_COUNTS = re.compile(r"([0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*[x×*]\s*(.+)")
_FORM = 'such as "voltage 0.7 % + 2 x 0.1 V" or "temperature 0.5 degC"'


class AccuracyError(ValueError):
    """A line that does not say how accurate an instrument is."""

    def __init__(self, why: str, expected: str) -> None:
        super().__init__(f"{why}; expected {expected}")
        self.why = why
        self.expected = expected


@dataclass(frozen=True, slots=True)
class Accuracy:
    """What a reading of one kind is good for: limit = percent x reading + counts x resolution + absolute.

    ``percent`` is a fraction; ``resolution`` and ``absolute`` are in the base unit of the kind, those of a
    temperature in kelvin of difference. The limit is what JCGM 100, 4.3.7 calls the half-width a.
    """

    kind: str
    percent: float = 0.0
    counts: float = 0.0
    resolution: float = 0.0
    absolute: float = 0.0


def parse_accuracy(line: str) -> Accuracy:
    """Read one accuracy line: a kind of quantity, then up to one term of each sort joined by "+".

    Raises AccuracyError.

    >>> parse_accuracy("voltage 0.5 % + 2 x 0.1 V")
    Accuracy(kind='voltage', percent=0.005, counts=2.0, resolution=0.1, absolute=0.0)
    """
    if len(line) > _LONGEST:
        raise AccuracyError(f"{len(line)} characters are too many", f"a short line {_FORM}")
    kind, rest = _kind(" ".join(line.split()))
    size_kind = _DIFFERENCE.get(kind, kind)
    found: dict[str, float] = {}
    for term in rest.split("+"):
        for name, value in _term(term.strip(), size_kind).items():
            if name in found:
                raise AccuracyError(f"{name} is given twice", "each term once")
            found[name] = value
    if not (found.get("percent") or found.get("absolute") or _counted(found)):
        raise AccuracyError(
            "an accuracy of nothing", "at least one term above 0; leave the line out if unknown"
        )
    return Accuracy(kind, **found)


def _counted(found: dict[str, float]) -> float:
    return found.get("counts", 0.0) * found.get("resolution", 0.0)


def _kind(line: str) -> tuple[str, str]:
    for kind in sorted(KINDS, key=len, reverse=True):
        for spelling in (kind, kind.replace("_", " ")):
            if line.startswith(f"{spelling} "):
                return kind, line[len(spelling) + 1 :]
            if line == spelling:
                raise AccuracyError("only a kind", f"what follows it too, {_FORM}")
    known = ", ".join(("voltage", "current", "resistance", "static_pressure", "temperature"))
    raise AccuracyError("does not begin with a kind of quantity", f"a kind first ({known}, …), {_FORM}")


def _term(term: str, kind: str) -> dict[str, float]:
    if percent := _PERCENT.fullmatch(term):
        value = float(percent[1]) / 100
        if value >= 1:
            raise AccuracyError(f"{percent[1]} % is no accuracy", "less than 100 %")
        return {"percent": value}
    if counts := _COUNTS.fullmatch(term):
        return {"counts": _finite(float(counts[1])), "resolution": _size(counts[2], kind)}
    return {"absolute": _size(term, kind)}


def _size(term: str, kind: str) -> float:
    try:
        value = parse(term, kind)
    except QuantityError as error:
        raise AccuracyError(error.why, f"{error.expected}, {_FORM}") from None
    if value.value < 0 or value.plus_minus is not None or len(value.readings) != 1:
        raise AccuracyError(f"{term!r} is not one size", f"a size not below 0, {_FORM}")
    return _finite(value.value)


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise AccuracyError("not a finite number", _FORM)
    return value

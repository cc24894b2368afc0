"""From a spelling to a unit: our own closed table first, the pint library for units outside it."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

from asleft.quantity.errors import QuantityError
from asleft.quantity.kinds import KINDS, Kind, Unit, kind_of, spelling_key

if TYPE_CHECKING:
    import pint

_FOREIGN = re.compile(r"[A-Za-zµμΩ°]{1,24}[1-4]?(?:[*/·][A-Za-zµμΩ°]{1,24}[1-4]?){0,3}")


def expected_units(kind: Kind) -> str:
    """Say which units this kind takes, the usual ones first."""
    usual = [kind.ip_unit, kind.si_unit, *kind.units]
    names = [name for name in dict.fromkeys(usual) if name]
    if not names:
        return "a plain number"
    article = "an" if kind.label[0] in "aeiou" else "a"
    return f"{article} {kind.label} in " + ", ".join(names)


def find_unit(kind: Kind, spelling: str) -> Unit:
    """Give the unit that this spelling means for this kind.

    Raises QuantityError for a spelling that is unknown, ambiguous, or a unit of another kind.
    """
    key = spelling_key(spelling)
    if key in kind.refused:
        raise QuantityError(
            f"{spelling!r}: {kind.refused[key]}", found=spelling, expected=expected_units(kind)
        )
    unit = kind.exact.get(key) or kind.folded.get(key.casefold())
    if unit is not None:
        return unit
    for other in KINDS.values():
        if key in other.exact or key.casefold() in other.folded:
            raise QuantityError(
                f"{spelling!r} is a unit of {other.label}, not of {kind.label}",
                found=spelling,
                expected=expected_units(kind),
            )
    if kind.closed or not _FOREIGN.fullmatch(key):
        raise QuantityError(
            f"{spelling!r} is not a unit of {kind.label}", found=spelling, expected=expected_units(kind)
        )
    return _outside(kind.id, key)


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[float]:
    import pint as library

    return library.UnitRegistry(cache_folder=None)


@lru_cache(maxsize=256)
def _outside(kind_id: str, key: str) -> Unit:
    """Ask the pint library for a unit that our table does not list."""
    import pint as library

    kind = kind_of(kind_id)
    registry = _registry()
    base = next(unit for unit in kind.units.values() if unit.over == unit.under)
    written = re.sub(r"([A-Za-zµμΩ°])([1-4])", r"\1**\2", key.replace("·", "*"))
    try:
        factor = float(registry.Quantity(1.0, registry.parse_units(written)).to(base.pint).magnitude)
    except (library.errors.PintError, AttributeError, ValueError, TypeError) as error:
        raise QuantityError(
            f"{key!r} is not a unit of {kind.label}", found=key, expected=expected_units(kind)
        ) from error
    return Unit(key, factor, 1.0, 0.0, written)


def to_unit(value: float, kind: str, unit: str) -> float:
    """Turn a value in the kind's base unit into ``unit``.

    >>> round(to_unit(124.54, "static_pressure", "in. w.c."), 3)
    0.5
    """
    found = find_unit(kind_of(kind), unit)
    return found.from_base(value)


def from_unit(value: float, kind: str, unit: str) -> float:
    """Turn a value in ``unit`` into the kind's base unit.

    >>> from_unit(212.0, "temperature", "degF")
    100.0
    """
    found = find_unit(kind_of(kind), unit)
    return found.to_base(value)


def unit_of(kind: str, system: str = "ip") -> str:
    """Name the unit in which this kind is shown: ``system`` is "ip", "si" or "base".

    >>> unit_of("airflow", "ip"), unit_of("airflow", "si")
    ('cfm', 'L/s')
    """
    found = kind_of(kind)
    try:
        return {"ip": found.ip_unit, "si": found.si_unit, "base": found.base_unit}[system]
    except KeyError:
        raise QuantityError(
            f"no system of units {system!r}", found=system, expected="ip, si or base"
        ) from None

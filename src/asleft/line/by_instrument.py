"""A reading that names its instrument: `238.2 V by meter-corwen` becomes `238.2 V ± 1.391 V`."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from math import sqrt
from typing import TYPE_CHECKING

from asleft.calc import CalcError, instrument_uncertainty
from asleft.equipment.accuracy import Accuracy, parse_accuracy
from asleft.quantity import KINDS, QuantityError, parse

if TYPE_CHECKING:
    from asleft.equipment.model import Instrument

WORD = " by "
_BETWEEN = "temperature_difference"


def known_limits(name: str, kind: str, text: str, instruments: Mapping[str, Instrument]) -> str:
    """The text of an input of this kind, each instrument named in it replaced by the limit of its accuracy.

    A temperature difference is that of two independent readings: its limit is larger by the root of two.
    Raises CalcError naming the input for an instrument that is unknown or does not measure such a quantity.
    """
    if WORD not in text:
        return text
    return ",".join(_known(name, kind, part, instruments) for part in text.split(","))


def _known(name: str, kind: str, part: str, instruments: Mapping[str, Instrument]) -> str:
    reading, word, id = part.rpartition(WORD)
    if not word:
        return part
    id = id.strip()
    instrument = instruments.get(id)
    if instrument is None:
        near = difflib.get_close_matches(id, instruments, 1)
        expected = f"{near[0]}, perhaps" if near else "one of: " + ", ".join(instruments)
        raise CalcError(name, f"{id!r} is no instrument", expected)
    for accuracy in map(parse_accuracy, instrument.accuracy):
        if (written := _with_limit(name, kind, reading, accuracy)) is not None:
            return written
    kinds = ", ".join(KINDS[parse_accuracy(line).kind].label for line in instrument.accuracy)
    raise CalcError(
        name, f"{reading.strip()!r} is nothing that {id} measures", f"{kinds or 'an accuracy'}, with its unit"
    )


def _with_limit(name: str, kind: str, reading: str, accuracy: Accuracy) -> str | None:
    """The reading with the limit of this accuracy; None where it is a quantity of another kind."""
    between = kind == _BETWEEN and accuracy.kind == "temperature"
    try:
        quantity = parse(reading, _BETWEEN if between else accuracy.kind)
    except QuantityError:
        return None
    if quantity.plus_minus is not None:
        raise CalcError(name, "both a ± and an instrument", "one of the two")
    if between and accuracy.percent:
        raise CalcError(name, "a difference of readings good to a percentage", "its limit, such as ± 1 degF")
    limit = instrument_uncertainty(
        quantity.value, 100.0 * accuracy.percent, accuracy.counts, accuracy.resolution, accuracy.absolute
    ).limit * (sqrt(2.0) if between else 1.0)
    difference = _BETWEEN if accuracy.kind == "temperature" else accuracy.kind
    return f"{reading} ± {limit!r} {KINDS[difference].base_unit}"

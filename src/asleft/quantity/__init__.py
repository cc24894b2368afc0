"""Kinds of quantity and their units: what a person types is read here, what a person reads is written here.

Inside asleft every value is a float in the base unit of its kind; people's units exist only at this edge.
"""

from asleft.quantity.errors import QuantityError
from asleft.quantity.kinds import KINDS, Kind
from asleft.quantity.parsing import Quantity, parse
from asleft.quantity.showing import LARGE_DIGITS, larger_unit, show
from asleft.quantity.sizes import parse_size
from asleft.quantity.units import from_unit, to_unit, unit_of

__all__ = [
    "KINDS",
    "LARGE_DIGITS",
    "Kind",
    "Quantity",
    "QuantityError",
    "from_unit",
    "larger_unit",
    "parse",
    "parse_size",
    "show",
    "to_unit",
    "unit_of",
]

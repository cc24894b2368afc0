"""The pattern of a maker's serial numbers: a regular expression that cannot be made to run for ever."""

from __future__ import annotations

import math
import re
import warnings
from collections.abc import Iterator

from asleft.equipment.errors import Complaint, described, printable
from asleft.equipment.nodes import Node

LONGEST = 200
_MOST_UNBOUNDED = 2
_MOST_DOUBLINGS = 8
_PLAIN = (
    (re.compile(r"\\.", re.DOTALL), "x"),
    (re.compile(r"\[\^?\]?[^\]]*\]"), "x"),
    (re.compile(r"\(\?"), "("),
)
_REPEATED_GROUP = re.compile(r"\)(?:[*+]|\{[0-9]*,)")
_UNBOUNDED = re.compile(r"[*+]|\{[0-9]*,\}")
_OPTIONAL = re.compile(r"[?|]")
_RANGE = re.compile(r"\{([0-9]*),([0-9]+)\}")


def serial_complaints(unit: Node) -> Iterator[Complaint]:
    """Complain of a pattern that is no regular expression, or one whose matching could take without end."""
    pattern = unit.text("serial_pattern")
    if pattern is None:
        return
    path, found = unit.child("serial_pattern").path, described(pattern)
    if len(pattern) > LONGEST:
        yield Complaint(path, f"{len(pattern)} characters", f"a pattern of at most {LONGEST} characters")
        return
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            re.compile(pattern)
    except (re.error, OverflowError, RecursionError, Warning) as error:
        yield Complaint(path, found, f"a regular expression ({printable(str(error), 120)})")
        return
    if not _quick(pattern):
        yield Complaint(
            path,
            found,
            f"a pattern without repeated groups, with at most {_MOST_UNBOUNDED} of * + {{n,}} "
            "and few | ? {m,n}, so that a long serial number cannot stop the program",
        )


def _quick(pattern: str) -> bool:
    """Whether backtracking stays small: each choice left open multiplies the ways to match."""
    for what, plain in _PLAIN:
        pattern = what.sub(plain, pattern)
    doublings = float(len(_OPTIONAL.findall(pattern)))
    for lowest, highest in _RANGE.findall(pattern):
        doublings += math.log2(max(1, int(highest) - int(lowest or 0) + 1))
    return (
        not _REPEATED_GROUP.search(pattern)
        and len(_UNBOUNDED.findall(pattern)) <= _MOST_UNBOUNDED
        and doublings <= _MOST_DOUBLINGS
    )

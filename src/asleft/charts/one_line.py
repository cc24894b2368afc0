"""A supply and its circuits drawn as a one-line diagram in cells."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from asleft.charts.cells import cut, plain, width
from asleft.charts.chart import Branch, OneLine

LEAST = (30, 4)
UNKNOWN = "not said"


class _Signs(NamedTuple):
    fork: str
    last: str
    down: str
    wire: str
    open: str
    close: str
    node: str


_FINE = _Signs("├", "└", "│", "─", "┤", "├", "●")
_COARSE = _Signs("+", "+", "|", "-", "[", "]", "o")


def one_line(line: OneLine, columns: int, rows: int, *, fine: bool) -> list[str] | None:
    """The diagram in at most so many columns and rows, closer where it is low; None if too small."""
    if columns < LEAST[0] or rows < LEAST[1]:
        return None
    signs = _FINE if fine else _COARSE
    for spread in (True, False):
        lines = [cut(text, columns) for text in _lines(line, columns, signs, spread=spread)]
        if len(lines) <= rows:
            return lines
    more = len(lines) - rows + 1
    return [*lines[: rows - 1], cut(f"and {more} more lines: see the table", columns)]


def _lines(line: OneLine, columns: int, signs: _Signs, *, spread: bool) -> Iterator[str]:
    yield ", ".join(map(plain, line.source))
    if spread:
        yield signs.down
    for n, branch in enumerate(line.branches, 1):
        last = n == len(line.branches)
        yield from _branch(branch, columns, signs, last=last, spread=spread)
        if spread and not last:
            yield signs.down


def _branch(branch: Branch, columns: int, signs: _Signs, *, last: bool, spread: bool) -> Iterator[str]:
    """The wire with its device and conductor to the terminals; what was read there and hangs on it below."""
    wire = signs.wire * 2
    device = f"{signs.open} {plain(branch.device) or UNKNOWN} {signs.close}"
    conductor = (
        f"{wire} {plain(branch.conductor) or UNKNOWN} {wire}" if branch.device or branch.conductor else ""
    )
    head = f"{signs.last if last else signs.fork}{wire}"
    head += f"{device}{conductor}" if conductor else wire * 3
    widest = max((width(plain(text)) for text in (*branch.loads, *branch.terminals)), default=0)
    node = max(4, min(width(head), columns - widest - 4))
    head += f"{signs.node} {plain(branch.name)}"
    if branch.warning:
        head += f"  FAILS {plain(branch.warning)}"
    side = " " if last else signs.down
    below = f"{side}{'':{node - 1}}"
    under: list[str] = []
    for text in map(plain, branch.terminals):
        if not under and width(head) + 3 + width(text) <= columns:
            head += f"   {text}"
        else:
            under.append(text)
    yield head
    if not spread:
        if under:
            yield f"{below}{signs.down} {'   '.join(under)}"
        if branch.loads:
            yield f"{below}{signs.last}{signs.wire} {'; '.join(map(plain, branch.loads))}"
        return
    for text in under:
        yield f"{below}{signs.down if branch.loads else ' '} {text}"
    for n, load in enumerate(map(plain, branch.loads), 1):
        yield f"{below}{signs.last if n == len(branch.loads) else signs.fork}{signs.wire} {load}"

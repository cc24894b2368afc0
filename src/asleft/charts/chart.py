"""What a chart shows, apart from how it is drawn: a picture, a note, a table, and what is still missing.

Amounts are in base units, expanded uncertainties (k = 2) in the base unit of a difference. `system` says in
which units a person reads them. Names may be foreign text; whatever draws them makes them harmless.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Points: TypeAlias = "tuple[tuple[float, float] | None, ...]"
"""(x, y) along a line in the order in which it is drawn; None is a gap."""
Direction = Literal["x", "y"]
Dash = Literal["solid", "dashed", "dash-dot", "dotted"]


@dataclass(frozen=True, slots=True)
class Amount:
    """One quantity in the base unit of its kind, with its expanded uncertainty."""

    value: float
    kind: str
    expanded: float = 0.0


Cell: TypeAlias = "str | Amount | None"


@dataclass(frozen=True, slots=True)
class Table:
    """The same in rows: heads, a row a subject, and facts that belong to no row."""

    heads: tuple[str, ...] = ()
    rows: tuple[tuple[Cell, ...], ...] = ()
    facts: tuple[tuple[str, Cell], ...] = ()


@dataclass(frozen=True, slots=True)
class Axis:
    """What runs along one side: a kind of quantity and its name."""

    kind: str
    label: str


@dataclass(frozen=True, slots=True)
class Curve:
    """One curve with the letter that tells it from the others without colour.

    `highest` is the y up to which it may be used; beyond it is drawn faintly, with small letters. `band` are
    the lines on both sides between which it lies for certain (k = 2). `scales` says that the picture is made
    large enough to hold all of it.
    """

    name: str
    mark: str
    points: Points
    dash: Dash = "solid"
    highest: float | None = None
    band: tuple[Points, Points] | None = None
    scales: bool = True


@dataclass(frozen=True, slots=True)
class Span:
    """A part of an axis with a name, such as what a limit allows."""

    along: Direction
    low: float
    high: float
    name: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A line across the picture at one place of an axis; `words` say more of it where there is room."""

    along: Direction
    at: float
    name: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class Point:
    """A place in the picture with its name and mark, uncertain in either direction or in both.

    `matters`: it is what the picture is looked at for, and comes before the others where there is no room.
    """

    name: str
    mark: str
    x: float
    y: float
    x_expanded: float = 0.0
    y_expanded: float = 0.0
    matters: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """Curves, points, marks and spans between two axes."""

    x: Axis
    y: Axis
    curves: tuple[Curve, ...] = ()
    points: tuple[Point, ...] = ()
    marks: tuple[Mark, ...] = ()
    spans: tuple[Span, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether no curve has a point."""
        return not any(point is not None for curve in self.curves for point in curve.points)


@dataclass(frozen=True, slots=True)
class Branch:
    """One circuit from its device to what hangs on it; every part is words or nothing."""

    name: str
    device: str
    conductor: str
    terminals: tuple[str, ...]
    loads: tuple[str, ...]
    warning: str = ""


@dataclass(frozen=True, slots=True)
class OneLine:
    """A supply and the circuits that leave it."""

    source: tuple[str, ...]
    branches: tuple[Branch, ...]


@dataclass(frozen=True, slots=True)
class Doing:
    """One thing done at a stop. `state` is done, open, waits or failed."""

    text: str
    state: str
    short: str = ""


@dataclass(frozen=True, slots=True)
class Stop:
    """One place of a route with what is done there. `cut` says that power is switched there."""

    name: str
    doings: tuple[Doing, ...]
    cut: bool = False
    here: bool = False


@dataclass(frozen=True, slots=True)
class Route:
    """Places in the order in which they are gone to."""

    stops: tuple[Stop, ...]


Picture: TypeAlias = "Plot | OneLine | Route"


@dataclass(frozen=True, slots=True)
class Chart:
    """A picture, what it says in words, the same as a table, and what is missing to draw it whole.

    `missing` are labels of fields that still have to be entered.
    """

    id: str
    title: str
    picture: Picture
    note: str = ""
    table: Table = Table()
    missing: tuple[str, ...] = ()
    system: str = "ip"

    @property
    def empty(self) -> bool:
        """Whether there is nothing to draw yet."""
        match self.picture:
            case Plot() as plot:
                return plot.empty
            case OneLine(branches=branches):
                return not branches
            case Route(stops=stops):
                return not stops

"""Where a person stands: which pane, and on each pane which row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from asleft.face.offering import offered
from asleft.face.rows import Row, rows
from asleft.session.fields import PANES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from asleft.equipment.model import Instrument
    from asleft.guide import Next
    from asleft.session.acts import Act
    from asleft.visit import View


class Standing:
    """The pane shown, its rows, and the row under the cursor; every pane remembers its own row."""

    def __init__(self, pane: str, instruments: Mapping[str, Instrument], offers: Mapping[Act, str]) -> None:
        self.pane = pane
        self.offers = offers
        self._instruments = instruments
        self.rows: tuple[Row, ...] = ()
        self._seen: tuple[View, str, str] | None = None
        self._at = dict.fromkeys(PANES, 0)

    @property
    def at(self) -> int:
        """The number of the row under the cursor."""
        return self._at[self.pane]

    @property
    def row(self) -> Row | None:
        """The row under the cursor; None on a pane without rows."""
        return self.rows[self.at] if self.at < len(self.rows) else None

    def look(self, view: View, system: str) -> None:
        """See the rows as they are now; of the same view they are as they were."""
        before = self._seen
        if before is None or before[0] is not view or before[1:] != (self.pane, system):
            self.rows = offered(rows(view, self.pane, system, self._instruments), self.offers)
            self._seen = (view, self.pane, system)
        self.move_to(self.at)

    def move_to(self, at: int) -> None:
        """Stand on a row of this pane, or on the nearest there is."""
        self._at[self.pane] = max(0, min(at, len(self.rows) - 1))

    def go_down(self) -> bool:
        """Stand on the next row of this pane that waits for an entry, if there is one."""
        for at in range(self.at + 1, len(self.rows)):
            row = self.rows[at]
            if row.act is not None and not row.done and not row.verdict:
                self.move_to(at)
                return True
        return False

    def turn(self, by: int) -> None:
        """Another pane, by so many; its rows are seen at the next look."""
        self.pane = PANES[(PANES.index(self.pane) + by) % len(PANES)]

    def go(self, following: Next, view: View, system: str) -> None:
        """Stand where the next thing is done; on the same row where it has none."""
        if following.pane:
            self.pane = following.pane
        self.look(view, system)
        self._stand_on(following.act)

    def find(self, act: Act, pane: str, view: View, system: str) -> bool:
        """Stand on the row of an act on a pane; False, and all as before, where it is not drawn there."""
        before, self.pane = self.pane, pane
        self.look(view, system)
        if self._stand_on(act):
            return True
        self.pane = before
        self.look(view, system)
        return False

    def _stand_on(self, act: Act | None) -> bool:
        at = next((at for at, row in enumerate(self.rows) if row.act == act), None)
        if at is not None:
            self.move_to(at)
        return at is not None

"""Every chart in one table: the pane on which it belongs, and the topics that it helps to decide."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from asleft.charts.droop import room_falls
from asleft.charts.fan_tables import cooling_fans, heating_fans
from asleft.charts.house_load import house_load
from asleft.charts.plan_route import plan_route
from asleft.charts.wiring import wiring

if TYPE_CHECKING:
    from asleft.charts.chart import Chart
    from asleft.visit import View


class Listed(NamedTuple):
    """A chart's maker, its pane, and the roles of the topics that it is looked at for."""

    pane: str
    roles: tuple[str, ...]
    make: Callable[[View], Chart | None]


CHARTS = (
    Listed("electrical", (), wiring),
    Listed("blower", ("blower-tier",), cooling_fans),
    Listed("blower", (), heating_fans),
    Listed("heat", ("outdoor-lockout", "auxiliary-heat", "heat-on-lost-communication"), house_load),
    Listed("delay", ("auxiliary-delay",), room_falls),
    Listed("sequence", (), plan_route),
)
"""In the order of the panes; of several on a pane the first is the one that is shown first."""


def chart_for(view: View, pane: str, role: str = "") -> Chart | None:
    """The chart to look at on a pane, for a topic of this role where one is in hand; None without one."""
    here = [listed for listed in CHARTS if listed.pane == pane]
    for listed in sorted(here, key=lambda listed: not role or role not in listed.roles):
        if (chart := listed.make(view)) is not None:
            return chart
    return None


def charts_of(view: View, pane: str = "", role: str = "") -> tuple[Chart, ...]:
    """All charts of this unit: those of a pane first, and of these the one for a role."""
    ordered = sorted(CHARTS, key=lambda listed: (listed.pane != pane, not role or role not in listed.roles))
    return tuple(chart for listed in ordered if (chart := listed.make(view)) is not None)

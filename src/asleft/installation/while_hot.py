"""Minutes of full heat: a limit that opens, lets the elements cool, and closes again."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.installation.moment import Moment

WARMING_S = 100.0
"""In which elements, and a limit beside them, come within 1/e of a new temperature (ours)."""
CLOSES_AT = 0.25
"""A limit closes where this part is left of the warmth at which it opened."""
AS_MADE_K = 20.0 / 1.8
"""A limit as made opens so far above the highest leaving air that the maker allows (common practice)."""
OPENS_C = (200.0 - 32.0) / 1.8
"""A limit as made, where the maker allows no figure for the leaving air: 200 degF (common practice)."""


def minutes_of_heat(now: Moment, seconds: float) -> dict[str, float | bool | str]:
    """Current of the first circuit and leaving air, so many seconds after all heat was called."""
    assert now.kit is not None
    air = now.air("heating")
    on = now.on(range(1, len(now.kit.stage) + 1))
    hot, cold = (now.circuits.flow(on, air.power_w, limit_open=cut) for cut in (False, True))
    warmth, closed = warmth_after(seconds, opens_at(now, hot.heat_w))
    feed = (hot if closed else cold).feeds[now.circuits.main]
    minute = f"heat.minute.{seconds / 60.0:g}"
    return {
        f"{minute}.current": feed.lines_a[now.circuits.legs() - 1] if now.kit.circuit else 0.0,
        f"{minute}.leaving_air": now.leaving_c(warmth * hot.heat_w, air),
    }


def opens_at(now: Moment, heat_w: float) -> float:
    """The part of its final warmth at which full heat opens the limit; 1 and more where it never does."""
    air = now.air("heating")
    own_k = now.rise_k(heat_w, air)
    highest_c = now.equipment.limits.leaving_air
    made_c = OPENS_C if highest_c is None else highest_c + AS_MADE_K
    set_c = now.truth.elements.limit_opens_c
    room_k = (made_c if set_c is None else set_c) - now.truth.return_air_c - now.rise_k(air.power_w, air)
    return room_k / own_k if own_k > 0.0 else math.inf


def warmth_after(seconds: float, opens: float) -> tuple[float, bool]:
    """Warmth of the elements as a part of what steady heat gives, and whether the limit is closed.

    Warmth goes to 1 while it is closed and to 0 while it is open, each as 1 - exp(-t / WARMING_S).
    """
    if opens <= 0.0:
        return 0.0, False
    warmth, closed, left = 0.0, True, seconds
    while True:
        goal, turn = (1.0, opens) if closed else (0.0, CLOSES_AT * opens)
        never = closed and opens >= 1.0
        takes_s = math.inf if never else WARMING_S * math.log((goal - warmth) / (goal - turn))
        if takes_s >= left:
            return goal + (warmth - goal) * math.exp(-left / WARMING_S), closed
        warmth, closed, left = turn, not closed, left - takes_s

"""Heat called on purpose: every way to it, emergency heat, and a forced defrost."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from asleft.installation.moment import Moment

Truths = dict[str, float | bool | str]


def forced_calls(now: Moment) -> Truths:
    """Whether the blower runs with the heat, and what emergency heat does while the heat pump runs."""
    on = _on(now)
    stages = len(now.kit.stage) if now.kit else 0
    return {
        **{f"heat.path.{path}": bool(on) for path in ("normal", "emergency", "lost_communication")},
        "heat.emergency.compressor_off": True,
        "heat.emergency.every_stage": len(on) == stages,
        "heat.emergency.at_once": bool(on),
        "heat.emergency.heating_speed": now.circuits.alive,
    }


def forced_defrost(now: Moment) -> Truths:
    """A defrost forced and waited out: heat helps in it where the control is set so."""
    helps, on = now.option("heat-in-defrost"), _on(now)
    return {
        "heat.path.defrost": bool(on),
        "heat.defrost.came_on": helps is not None and bool(helps.value) and bool(on),
        "heat.defrost.went_off": not any(now.truth.elements.welded.values()),
    }


def _on(now: Moment) -> tuple[int, ...]:
    return now.on(range(1, len(now.kit.stage) + 1)) if now.kit else ()

"""What instruments with faults of their own show of the truth."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from asleft.installation.dead import OPEN_OHM
from asleft.installation.unit import Probes
from asleft.session.fields import Field, field_of

Truth = float | bool | str

SOUND = Probes()
OF_A_ROLE: Mapping[str, tuple[str, ...]] = {
    "meter": ("lead_open", "meter_factor"),
    "clamp": ("clamp_zero_a",),
    "manometer": ("zero_pa", "hoses_swapped"),
    "thermometer": ("supply_probe_off_k",),
}
"""What goes with an instrument of each role, and is gone when another one is taken."""


def taken_anew(probes: Probes, role: str) -> Probes:
    """The probes with another instrument of a role taken in hand, zeroed, its hoses where they belong."""
    return replace(probes, **{name: getattr(SOUND, name) for name in OF_A_ROLE.get(role, ())})


def as_shown(found: dict[str, Truth], probes: Probes) -> dict[str, Truth]:
    """True values as the instruments show them; the manometer's own are in the statics already."""
    shown = _shown_by(probes)
    if not shown:
        return found
    seen: dict[str, Truth] = {}
    for id, truth in found.items():
        field = field_of(id)
        known = field is not None and not isinstance(truth, bool | str)
        seen[id] = shown.get(_what(field, id), _as_it_is)(float(truth)) if known and field else truth
    return seen


def _shown_by(probes: Probes) -> dict[str, Callable[[float], float]]:
    """How each kind of reading is shown, where not as it is."""
    shown: dict[str, Callable[[float], float]] = {}
    if probes.lead_open:
        shown |= {"voltage": lambda _: 0.0, "resistance": lambda _: OPEN_OHM}
    elif probes.meter_factor != 1.0:
        shown |= dict.fromkeys(("voltage", "resistance"), lambda truth: truth * probes.meter_factor)
    if probes.clamp_zero_a:
        shown["current"] = lambda truth: truth + probes.clamp_zero_a
    if probes.supply_probe_off_k:
        shown["leaving air"] = lambda truth: truth + probes.supply_probe_off_k
    return shown


def _what(field: Field, id: str) -> str:
    """What an instrument reads in a field; nothing where none does."""
    if field.kind == "temperature":
        return "leaving air" if field.instrument and id.endswith(".leaving_air") else ""
    return field.kind if field.instrument in ("meter", "clamp") else ""


def _as_it_is(truth: float) -> float:
    return truth

"""`asleft fields`: what can be entered, for a session, for an equipment file, or at all."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.line.reading import verified
from asleft.line.text import dumped, plain, say, say_all, wrapped
from asleft.quantity import KINDS
from asleft.session.fields import Field, Situation, applicable, questions, templates

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment


def run(path: Path | None, equipment: Equipment | None, *, as_json: bool) -> int:
    """Print the fields of a session, of a unit whatever is fitted, or as written. Raises as reading does."""
    if path is not None:
        view = verified(path)
        fields, unit = tuple(view.ledger.fields.values()), view.equipment
        found = [as_mapping(f, unit) for f in fields]
    elif equipment is not None:
        found = [as_mapping(f, equipment) for f in every_field(equipment)]
    else:
        found = [as_mapping(f, None) for f in templates()]
    if as_json:
        say(dumped({"fields": found}))
    else:
        say_all(as_text(found))
    return 0


def every_field(equipment: Equipment) -> tuple[Field, ...]:
    """Every field that this unit can have, whatever is fitted, answered and found."""
    pairings = equipment.heat_pump.pairing if equipment.heat_pump else ()
    kits = (*(kit.id for kit in equipment.heater), None)
    outdoors = (*(pairing.id for pairing in pairings), None)
    supplies = [supply.id for supply in equipment.supply]
    merged: list[Field] = []
    for kit, outdoor, supply, code in product(kits, outdoors, supplies, ("NEC", "other")):
        situation = Situation(
            kit=kit, outdoor=outdoor, supply=supply, code=code, unsafe=True, yes=questions()
        )
        _merge(merged, applicable(equipment, situation).values())
    return tuple(merged)


def _merge(merged: list[Field], more: Iterable[Field]) -> None:
    """Put what is new behind what stands before it."""
    at = 0
    places = {f.id: i for i, f in enumerate(merged)}
    for field in more:
        if field.id in places:
            at = places[field.id] + 1
        else:
            merged.insert(at, field)
            places = {f.id: i for i, f in enumerate(merged)}
            at += 1


def as_mapping(field: Field, equipment: Equipment | None) -> dict[str, Any]:
    """One field as JSON. `changed_by` are the settings that change it, or roles where no unit is named."""
    kind = KINDS.get(field.kind)
    return {
        "id": field.id,
        "kind": field.kind,
        "pane": field.pane,
        "label": field.label,
        "help": field.help,
        "unit": kind.base_unit or None if kind else None,
        "choices": list(field.choices),
        "conditions": [c for c in (field.state, *field.when) if c],
        "changed_by": _changed_by(field, equipment),
    }


def _changed_by(field: Field, equipment: Equipment | None) -> list[str]:
    if equipment is None:
        return list(field.changed_by)
    settings = {
        id
        for topic in equipment.topic
        if topic.role in field.changed_by
        for option in topic.option
        for id in option.set
    }
    return [s.id for s in equipment.setting if s.id in settings]


def as_text(fields: list[dict[str, Any]]) -> list[str]:
    """One field a paragraph: its id, what it is, what it takes, what changes it."""
    lines: list[str] = []
    for field in fields:
        takes = field["unit"] or ", ".join(field["choices"]) or field["kind"].replace("_", " ")
        lines.append(f"{plain(field['id'])}  ({plain(takes)})")
        lines.append(wrapped(f"{field['label']}. {field['help']}", "    "))
        if field["changed_by"]:
            lines.append(wrapped("Changed by: " + ", ".join(field["changed_by"]), "    "))
    return lines

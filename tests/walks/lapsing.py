"""When a word once given no longer stands, written from TRADE section 7: by the order of events alone."""

from __future__ import annotations

from datetime import datetime, timedelta

from walks.paper import Event, Record, Unit, field

LONGEST_PAUSE = timedelta(hours=4)
TESTERS = ("meter", "clamp")


def hands_inside(unit: Unit, event: Event) -> bool:
    """Whether hands were inside for an event: a look or a reading at an isolated unit, volts excepted."""
    match event["kind"]:
        case "entered":
            told = field(event["field"])
            return told.get("state") == "isolated" and told["kind"] != "voltage"
        case "found" | "wrote" | "read_back":
            return unit.settings.get(event["setting"], {}).get("power", "on") == "off"
    return False


def stands(record: Record, id: str) -> tuple[bool, str]:
    """Whether what was acknowledged still holds, and what ended it where it was given and does not."""
    given = record.acknowledged.get(id)
    if given is None:
        return False, ""
    before: Event | None = None
    role_had: dict[str, str] = {}
    for event in record.events:
        if event["kind"] == "used":
            role = event["field"].rpartition(".")[2]
            new = role_had.get(role) != event["instrument"]
            role_had[role] = event["instrument"]
            if id == "EL-18" and event["n"] > given and role in TESTERS and new:
                return False, "another meter"
        if event["n"] > given and (cause := _ended(record.unit, id, before, event)):
            return False, cause
        before = event
    return True, ""


def _ended(unit: Unit, id: str, before: Event | None, event: Event) -> str:
    match id, event["kind"]:
        case "EL-1", "powered" if event["state"] == "on":
            return "power on"
        case "EL-19", "powered" if event["state"] == "off":
            return "power off"
        case _, "resumed" if before is not None:
            return another_sitting(id, before, event)
        case "EL-19", _ if hands_inside(unit, event):
            return "hands went in"
    return ""


def another_sitting(id: str, before: Event, event: Event) -> str:
    """Why a word given before work went on no longer stands; empty where it does."""
    if event["kind"] != "resumed":
        return ""
    if event.get("damaged") and id != "EL-18":
        return "damage"
    if before["by"] != event["by"]:
        return "another person"
    if _local(before["at"], event).date() != _local(event["at"], event).date():
        return "another date"
    long = _local(event["at"], event) - _local(before["at"], event) > LONGEST_PAUSE
    return "a long pause" if long and id != "EL-18" else ""


def _local(at: str, resumed: Event) -> datetime:
    zone = resumed.get("zone", "") or "+00:00"
    ahead = timedelta(hours=int(zone[1:3]), minutes=int(zone[4:6]))
    return datetime.fromisoformat(at.removesuffix("Z")) + (ahead if zone[0] == "+" else -ahead)

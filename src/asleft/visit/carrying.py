"""Going on where a session is damaged: a new one that follows it, with the entries that could be verified."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from asleft.journal import Broken, Contents, NewerFormat, read
from asleft.session.events import Event, read_all
from asleft.session.payloads import Noted, Resumed
from asleft.session.sound import senseless
from asleft.session.state import fold_all, fold_on
from asleft.visit.view import look
from asleft.visit.visit import Clock, Visit

if TYPE_CHECKING:
    from asleft.equipment.model import Equipment, Instrument

LEFT_BEHIND = frozenset({"sealed", "reviewed"})
"""What vouches for the other file's own links, or judges that file, and would say something false here."""


def carry_on(
    path: Path, instruments: Mapping[str, Instrument], *, by: str, clock: Clock, session_id: str
) -> Visit:
    """A new session beside a damaged one: it follows it, and begins with its verified entries as they were.

    The damaged file is not touched. Raises Broken where not even its header is verified, NewerFormat,
    NotASession, EquipmentErrors, JournalError, SaveFailed.
    """
    from asleft.equipment.load import load_bytes

    contents = read(path)
    if contents.newer_format:
        raise NewerFormat(f"{path}: {contents.trouble}")
    if not contents.header:
        raise Broken(f"{path}: {contents.trouble} Nothing in it is verified; begin a new visit.")
    equipment = load_bytes(contents.equipment_text.encode(), path.name)
    carried, trouble = verified_entries(contents, equipment.equipment)
    old = contents.header["session"]
    state = fold_all(read_all(carried))
    # A name that is no text in the system's own characters could not be written.
    name = path.name.encode("utf-8", "replace").decode()
    said = (
        f"Goes on from {name}, which is damaged: its first {len(carried)} entries were verified and"
        f" stand here. {trouble}"
    )
    n, at = len(carried) + 1, clock()
    resumed, note = Event(n, at, by, Resumed(damaged=True)), Event(n + 1, at, by, Noted(said))
    before = set(look(equipment.equipment, state).verdicts())
    now = look(equipment.equipment, fold_on(state, (resumed, note))).verdicts()
    changed = [verdict for verdict in now if verdict not in before]
    told = {**note.written(), **({"verdicts": changed} if changed else {})}
    return Visit.create(
        path.parent,
        equipment,
        instruments,
        site=state.text("identity.site") or "site",
        by=by,
        clock=clock,
        session_id=session_id,
        mode=old["mode"],
        follows=old["id"],
        entries=[*carried, resumed.written(), told],
    )


def verified_entries(contents: Contents, equipment: Equipment) -> tuple[list[dict[str, Any]], str]:
    """The verified events that make sense, numbered anew without links; and what is wrong after them."""
    sound: list[Mapping[str, Any]] = []
    trouble = contents.trouble
    for item in contents.events:
        if wrong := senseless(Event.read(item), equipment):
            trouble = f"Event {item['n']} cannot be what this program wrote: {wrong}."
            break
        sound.append(item)
    return list(_numbered(sound)), trouble


def _numbered(events: list[Mapping[str, Any]]) -> Iterator[dict[str, Any]]:
    now: dict[int, int] = {}
    for item in events:
        if item["kind"] in LEFT_BEHIND or (item["kind"] == "retracted" and item["of"] not in now):
            continue
        n = now[item["n"]] = len(now) + 1
        event = {**{key: value for key, value in item.items() if key != "link"}, "n": n}
        if item["kind"] == "retracted":
            event["of"] = now[item["of"]]
        if "evidence" in item:
            event["evidence"] = [now[of] for of in item["evidence"] if of in now]
        yield event

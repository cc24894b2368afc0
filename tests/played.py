"""Sessions played once by the unattended technician, for all tests that need a whole one or its beginning."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from functools import cache, partial
from pathlib import Path
from tempfile import TemporaryDirectory

from asleft.drill.rig import BuiltIn, resume
from asleft.drill.site import Site, site
from asleft.drill.technician import SimulatedClock, act, session_id
from asleft.drill.virtual import VirtualUnit
from asleft.equipment.library import find, instruments
from asleft.equipment.model import Equipment, EquipmentFile
from asleft.journal import classify
from asleft.unattended import Job, begin
from asleft.visit import Visit
from shared import all_kept_once, kept_once, made_once

UNIT = "tarnfield-lowmoor-36"
Nexts = tuple[tuple[int, str], ...]
"""After so many events, what was next: the left side of the act."""


@cache
def session_bytes(seed: int = 11, unit: str = UNIT) -> tuple[str, bytes]:
    """Name and bytes of the session that a seed gives, played without the screen."""
    name, _, data = _whole(seed, unit)
    return name, data


def nexts_of(seed: int = 11, unit: str = UNIT) -> Nexts:
    """What was next in that visit, all along."""
    return _whole(seed, unit)[1]


@cache
def _whole(seed: int, unit: str) -> tuple[str, Nexts, bytes]:
    """A whole visit's file name, what was next all along, and its bytes."""
    told, _, data = made_once(f"visit {unit} {seed}", lambda: _play(seed, unit)).partition(b"\n")
    name, nexts = json.loads(told)
    return name, tuple((events, left) for events, left in nexts), data


def _play(seed: int, unit: str) -> bytes:
    with TemporaryDirectory() as folder:
        job = begin(Path(folder), find(unit), seed)
        nexts = []
        try:
            while job.visit.view.next.do != "nothing":
                nexts.append((job.visit.view.state.last_n, job.visit.view.next.enter))
                job.visit.submit(*act(job.visit.view, job.rig))
            told = json.dumps([job.visit.path.name, nexts]).encode()
            return told + b"\n" + job.visit.path.read_bytes()
        finally:
            job.close()


def begun_at(
    folder: Path,
    left: str,
    seed: int = 11,
    unit: str = UNIT,
    *,
    file: EquipmentFile | None = None,
    rig: BuiltIn | None = None,
) -> Job:
    """A visit in which the next act starts like this, as if it had been played up to there just now.

    `file` is another file of that unit, `rig` another that answers from there on.
    """
    _, nexts, data = _whole(seed, unit)
    events = next((n for n, enter in nexts if enter.startswith(left)), None)
    assert events is not None, f"{left} never came"
    return begun_after(folder, events, data, seed, unit, file=file, rig=rig)


def begun_after(
    folder: Path,
    events: int,
    data: bytes,
    seed: int,
    unit: str,
    *,
    file: EquipmentFile | None = None,
    rig: BuiltIn | None = None,
) -> Job:
    """A visit of which so many events have happened; the unit is left as they left it."""
    equipment, clock = file or find(unit), SimulatedClock(seed)
    place = place_of(seed, unit)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    visit = Visit.create(
        folder,
        equipment,
        {i.id: i for i in instruments()},
        site=place.job["identity.site"],
        by=place.job["identity.technician"],
        clock=clock,
        session_id=session_id(seed),
        mode="demo",
        entries=[
            {key: value for key, value in event.items() if key != "link"}
            for event in classify(data).events[:events]
        ],
    )
    for _ in range(events):
        clock()
    rig = rig or BuiltIn(VirtualUnit(equipment.equipment, place, seed))
    resume(rig, visit.view)
    return Job(visit, rig)


def found_once(seed: int, equipment: Equipment) -> Site:
    """A healthy site of any unit, found once a run: the same comes of the same file and seed every time."""
    return kept_once(_key(seed, equipment), lambda: site(seed, equipment))


@cache
def place_of(seed: int, unit: str = UNIT) -> Site:
    """The healthy site of a seed at a unit of the library."""
    return found_once(seed, find(unit).equipment)


def places_of(many: Iterable[tuple[int, str]]) -> list[Site]:
    """Many of them, found by all processes of a run together."""
    return all_kept_once(
        {_key(seed, find(unit).equipment): partial(site, seed, find(unit).equipment) for seed, unit in many}
    )


def _key(seed: int, equipment: Equipment) -> str:
    return f"site {hashlib.sha256(equipment.model_dump_json().encode()).hexdigest()} {seed}"


def session_file(folder: Path, seed: int = 11) -> Path:
    """A whole session as a file in a folder."""
    name, data = session_bytes(seed)
    path = folder / name
    path.write_bytes(data)
    return path


def blocks(data: bytes) -> list[bytes]:
    """The file parted after each link line: the header, then event by event."""
    parts, block = [], b""
    for line in data.splitlines(keepends=True):
        block += line
        if line.startswith(b'link = "'):
            parts.append(block)
            block = b""
    return parts


def relinked(parts: list[bytes]) -> bytes:
    """Blocks with every link computed anew, as a forger would who knows the rule."""
    data, link = b"", ""
    for part in parts:
        body = part[: part.rindex(b'link = "')]
        link = hashlib.sha256(link.encode() + body).hexdigest()
        data += body + f'link = "{link}"\n'.encode()
    return data


def cut_after(data: bytes, events: int) -> bytes:
    """The whole file that stood after so many events."""
    return b"".join(blocks(data)[: events + 1])

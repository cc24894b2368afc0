"""A session played once by the unattended technician, for every test that needs a whole one."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from asleft.equipment.library import find
from asleft.unattended import play

UNIT = "tarnfield-lowmoor-36"


@cache
def session_bytes(seed: int = 11) -> tuple[str, bytes]:
    """Name and bytes of the session that a seed gives, played without the screen."""
    with TemporaryDirectory() as folder:
        path = play(Path(folder), find(UNIT), seed).path
        return path.name, path.read_bytes()


def session_file(folder: Path, seed: int = 11) -> Path:
    """The same, as a file in a folder."""
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

"""The register of a rig: what it wrote is there after a crash, and several rigs write it together."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from asleft.drill.answers import RigError
from asleft.drill.classroom import register as of_registers
from asleft.drill.classroom.register import Register, key_of

ONE, OTHER = "a" * 64, "b" * 64
BEGUN = {"begun": "2031-05-04T09:30:00Z", "salt": "s" * 32, "told": True}


def kept(path: Path) -> Register:
    """A register with one drill that had a reading, a setting and two hints."""
    found = Register(path)
    with found.alone():
        found.add(ONE, BEGUN)
        found.add(ONE, {"asked": "electrical.line.l1_l2", "answered": "238.2 V"})
        found.add(ONE, {"asked": "P1@system", "answered": "2"})
        found.add(ONE, {"hint": 1})
        found.add(ONE, {"hint": 2})
    return found


def test_what_was_put_there_is_told_of_its_own_drill_alone(tmp_path: Path) -> None:
    """Also by a rig that is started later; of a hash that was never given, nothing."""
    kept(tmp_path / "register").close()
    again = Register(tmp_path / "register")
    found = again.of(ONE)
    assert found is not None
    assert (found.salt, found.told, found.hints, found.over) == ("s" * 32, True, 2, False)
    assert found.answers == {"electrical.line.l1_l2": {"238.2 V"}, "P1@system": {"2"}}
    assert again.of(OTHER) is None
    assert again.of(ONE[:10]) is None
    assert again.of("ä\ud800") is None
    with again.alone():
        again.add(ONE, {"over": "2031-05-04T10:30:00Z"})
    told = again.of(ONE)
    assert told is not None
    assert told.over
    assert (tmp_path / "register").stat().st_mode & 0o777 == 0o600


def test_cut_anywhere_it_tells_what_was_whole_and_takes_more(tmp_path: Path) -> None:
    """As a crash or a full disk leaves it: no line is lost but the last one begun, and the next is whole."""
    kept(tmp_path / "whole").close()
    data = (tmp_path / "whole").read_bytes()
    ends = [at + 1 for at, byte in enumerate(data) if byte == ord("\n")]
    for size in range(ends[0], len(data) + 1):
        path = tmp_path / "cut"
        path.write_bytes(data[:size])
        found = Register(path)
        with found.alone():
            found.add(ONE, {"over": "2031-05-04T10:30:00Z"})
        told = found.of(ONE)
        found.close()
        assert told is not None
        assert told.over
        # A line that lacks its line feed alone is whole.
        whole = sum(end - 1 <= size for end in ends)
        lines = path.read_bytes().splitlines()[: whole + 1]
        assert [json.loads(line) for line in lines[:whole]] == [
            json.loads(x) for x in data.splitlines()[:whole]
        ]
        assert len(told.answers) == min(2, max(0, whole - 1))
        assert told.hints == max(0, whole - 3)


@pytest.mark.parametrize(
    "line", [b"\n", b"[]\n", b"{}\n", b"\xff\xfe\n", b"[" * 5000 + b"\n", b'{"drill": 1}\n']
)
def test_a_line_that_is_none_hides_no_other(tmp_path: Path, line: bytes) -> None:
    """Somebody may have edited it."""
    kept(tmp_path / "register").close()
    path = tmp_path / "register"
    path.write_bytes(line + path.read_bytes() + line.replace(b"{}", b'{"drill": "' + ONE.encode() + b'"}'))
    found = Register(path)
    told = found.of(ONE)
    assert told is not None
    assert told.hints == 2
    found.close()


def test_every_line_is_on_disk_before_it_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """And written to its end where the system takes a part at a time."""
    synced: list[bytes] = []
    write = os.write

    def by_parts(descriptor: int, data: memoryview) -> int:
        return write(descriptor, data[:7])

    path = tmp_path / "register"
    found = Register(path)
    monkeypatch.setattr(os, "write", by_parts)
    monkeypatch.setattr(os, "fsync", lambda _: synced.append(path.read_bytes()))
    with found.alone():
        found.add(ONE, BEGUN)
    monkeypatch.undo()
    assert synced == [path.read_bytes()]
    assert json.loads(synced[0]) == {"drill": ONE, **BEGUN}
    found.close()


def test_two_rigs_write_it_one_at_a_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One that never lets go is told of, not waited for."""
    one, other = kept(tmp_path / "register"), Register(tmp_path / "register")
    with other.alone():
        other.add(OTHER, BEGUN)
    monkeypatch.setattr(of_registers, "WAIT_S", 0.05)
    with one.alone(), pytest.raises(RigError, match="Another rig has been writing"), other.alone():
        pytest.fail("both have it")
    with other.alone():
        other.add(OTHER, {"hint": 1})
    found = one.of(OTHER)
    assert found is not None
    assert found.hints == 1
    one.close()
    other.close()


def test_what_was_asked_is_named_by_its_place() -> None:
    """A code by its address: which setting it reached, the control alone knows."""
    assert key_of({"do": "read", "field": "electrical.line.l1_l2"}) == "electrical.line.l1_l2"
    assert key_of({"do": "look", "setting": "P1", "address": "system"}) == "P1@system"
    assert key_of({"do": "write", "setting": "P1", "address": "system", "value": "2"}) == "P1@system"
    assert key_of({"do": "code", "code": "17", "address": "zone"}) == "code@zone"
    assert key_of({"do": "power", "state": "off"}) == ""

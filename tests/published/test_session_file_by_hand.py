"""The recipe of the help page, run as it stands there by a shell, with no code of ours.

SHA-256 by sha256sum (FIPS 180-4), TOML 1.0 by Python's tomllib, signatures by ssh-keygen (OpenSSH).
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "src/asleft/help/session-file.md").read_text("utf-8")
LINKS, EQUIPMENT, SEAL = re.findall(r"^```sh\n(.*?)^```", PAGE, re.DOTALL | re.MULTILINE)
SAMPLES = sorted((ROOT / "sessions").glob("*.toml"))

_MISSING = not all(map(shutil.which, ("csplit", "sha256sum", "ssh-keygen")))
pytestmark = [
    pytest.mark.independent_library,
    pytest.mark.skipif(_MISSING, reason="the tools are not here"),
]


def run(recipe: str, folder: Path, **names: str) -> subprocess.CompletedProcess[str]:
    """The recipe in an empty folder; python3 is this one, without our packages."""
    tools = folder / "tools"
    tools.mkdir()
    (tools / "python3").write_text(f'#!/bin/sh\nexec "{sys.executable}" -I -S "$@"\n')
    (tools / "python3").chmod(0o755)
    work = folder / "work"
    work.mkdir()
    return subprocess.run(
        ["sh", "-c", recipe],
        cwd=work,
        env={"PATH": f"{tools}:{os.defpath}:/usr/bin:/bin", "LC_ALL": "C", **names},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_the_samples_are_whole(sample: Path, tmp_path: Path) -> None:
    """And the last link is the one that stands last in the file."""
    done = run(LINKS, tmp_path, FILE=str(sample))
    last = sample.read_text().splitlines()[-1].split('"')[1]
    assert (done.returncode, done.stdout) == (0, f"whole, the last link is {last}\n"), done.stderr


@pytest.mark.parametrize("at", [10, 5_000, 40_000, -1, -2])
def test_a_changed_byte_is_found(at: int, tmp_path: Path) -> None:
    """In the header, in the equipment, in an event, in the last link."""
    data = bytearray(SAMPLES[0].read_bytes())
    data[at] ^= 1
    changed = tmp_path / "changed.toml"
    changed.write_bytes(data)
    done = run(LINKS, tmp_path, FILE=str(changed))
    assert done.returncode == 1
    assert "does not match" in done.stdout


def test_a_torn_end_is_found(tmp_path: Path) -> None:
    """What has no link is not called whole."""
    for cut in (1, 40):
        torn = tmp_path / f"{cut}.toml"
        torn.write_bytes(SAMPLES[0].read_bytes()[:-cut])
        (tmp_path / str(cut)).mkdir()
        assert run(LINKS, tmp_path / str(cut), FILE=str(torn)).returncode == 1


def test_the_equipment_is_as_it_was(tmp_path: Path) -> None:
    """Its lines give the bytes that were hashed, and those of the file that comes with the program."""
    assert run(EQUIPMENT, tmp_path, FILE=str(SAMPLES[0])).stdout == "equipment as it was\n"


def test_a_seal_is_verified_and_a_stranger_is_not(tmp_path: Path) -> None:
    """Made by the program, verified without it."""
    key, sealed = tmp_path / "key", tmp_path / "visit.toml"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(key)], check=True)
    shutil.copy(SAMPLES[0], sealed)
    words = [sys.executable, "-m", "asleft", "seal", str(sealed), "--key", str(key)]
    subprocess.run(words, check=True, capture_output=True)
    signers = tmp_path / "signers"
    signers.write_text("ada " + " ".join((tmp_path / "key.pub").read_text().split()[:2]) + "\n")
    known = tmp_path / "known"
    known.mkdir()
    done = run(SEAL, known, FILE=str(sealed), SIGNERS=str(signers), WHO="ada")
    assert (done.returncode, done.stdout[:4]) == (0, "Good"), done.stderr
    stranger = tmp_path / "stranger"
    stranger.mkdir()
    assert run(SEAL, stranger, FILE=str(sealed), SIGNERS=str(signers), WHO="bo").returncode != 0

"""`asleft seal` and what `asleft check` then tells of whose key it was."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from asleft.cli import main
from asleft.settings import load

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="no OpenSSH on this machine")

SAMPLE = sorted((Path(__file__).parents[2] / "sessions").glob("*.toml"))[0]


@pytest.fixture
def key(tmp_path: Path) -> Path:
    """A key, and beside it the signers file that names it."""
    key = tmp_path / "key"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(key)], check=True)
    public = " ".join((tmp_path / "key.pub").read_text().split()[:2])
    (tmp_path / "signers").write_text(f"ada {public}\n")
    return key


@pytest.fixture
def session(tmp_path: Path) -> Path:
    """A signed visit of its own."""
    return Path(shutil.copy(SAMPLE, tmp_path / "visit.toml"))


def test_a_sealed_visit_stays_signed_and_tells_whose_key_it_was(
    session: Path, key: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sealed twice, checked as a page and as JSON."""
    before = session.read_bytes()
    for _ in range(2):
        assert main(["seal", str(session), "--key", str(key), "--by", "Ada Cole"]) == 0
    assert "neither the time" in capsys.readouterr().out
    assert session.read_bytes().startswith(before)
    assert main(["check", str(session), "--signers", str(key.parent / "signers"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["signed"]
    assert told["outcome"] == "commissioned"
    n = told["seals"][0]["of"]
    assert [(s["result"], s["who"], s["of"]) for s in told["seals"]] == [
        ("good", "ada", n),
        ("good", "ada", n + 1),
    ]
    assert main(["check", str(session)]) == 0
    assert "whose key it is was not checked" in capsys.readouterr().out


def test_a_seal_by_nobody_of_the_signers_is_something_wrong(
    session: Path, key: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A script sees it by the exit code."""
    (key.parent / "signers").write_text("")
    assert main(["seal", str(session), "--key", str(key)]) == 0
    assert main(["check", str(session), "--signers", str(key.parent / "signers")]) == 1
    assert "unknown" in capsys.readouterr().out


def test_the_key_can_be_remembered(session: Path, key: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And without one it is asked for."""
    assert main(["seal", str(session)]) == 2
    assert "--key" in capsys.readouterr().err
    assert main(["settings", f"seal_key={key}"]) == 0
    assert load().settings.seal_key == str(key)
    assert main(["seal", str(session)]) == 0


def test_without_openssh_it_could_not_be_done(
    session: Path, key: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Said, the record untouched; a check says that seals were not looked at."""
    assert main(["seal", str(session), "--key", str(key)]) == 0
    before = session.read_bytes()
    monkeypatch.setenv("PATH", str(key.parent))
    assert main(["seal", str(session), "--key", str(key)]) == 3
    assert "OpenSSH" in capsys.readouterr().err
    assert session.read_bytes() == before
    assert main(["check", str(session)]) == 0
    assert "not checked" in capsys.readouterr().out
    assert main(["check", str(session), "--signers", str(key.parent / "signers")]) == 3


@pytest.mark.parametrize("named", ["", "/no/such/key", "session"])
def test_what_is_no_key_is_refused_and_nothing_is_written(
    session: Path, named: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With what was wrong."""
    before = session.read_bytes()
    assert main(["seal", str(session), "--key", str(session) if named == "session" else named]) == 2
    assert capsys.readouterr().err.startswith("asleft: ")
    assert session.read_bytes() == before

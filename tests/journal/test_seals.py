"""A seal shows whose key vouched for a record up to an entry, and a false one is told."""

from __future__ import annotations

import errno
import shutil
import subprocess
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from asleft.journal import NoKey, NotSealed, classify, seals_of, sign
from asleft.journal.seals import MOST

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="no OpenSSH on this machine")

Written = Callable[..., bytes]


@pytest.fixture(scope="module")
def keys(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the keys of Ada and Bo, a locked one, and a signers file that names Ada alone."""
    folder = tmp_path_factory.mktemp("keys")
    for name, kind, phrase in (("ada", "ed25519", ""), ("bo", "ecdsa", ""), ("locked", "ed25519", "secret")):
        made = ["ssh-keygen", "-q", "-t", kind, "-N", phrase, "-C", name, "-f", str(folder / name)]
        subprocess.run(made, check=True)
    public = (folder / "ada.pub").read_text().rsplit(" ", 1)[0]
    (folder / "signers").write_text(f'ada@mill.example,office namespaces="asleft-session" {public}\n')
    (folder / "elsewhere").write_text(f'ada@mill.example namespaces="git" {public}\n')
    (folder / "run out").write_text(f'ada@mill.example valid-before="20310101" {public}\n')
    (folder / "running").write_text(f'ada@mill.example valid-before="20310601" {public}\n')
    return folder


def event(n: int, **data: Any) -> dict[str, Any]:
    return {"n": n, "at": "2031-05-04T10:00:00Z", "by": "Ada", **data}


@pytest.fixture
def sealed(header: bytes, written: Written) -> Callable[..., tuple[Mapping[str, Any], ...]]:
    """The events of a record of one power cut, with seals of it as given: `of` and the lines."""

    def make(key: Path, of: int = 1, lines: tuple[str, ...] = ()) -> tuple[Mapping[str, Any], ...]:
        first = event(1, kind="powered", state="off")
        link = classify(written(header, first)).link
        signature = list(lines or sign(link, key, ask=False))
        data = written(header, first, event(2, kind="sealed", of=of, signature=signature))
        return classify(data).events

    return make


Sealed = Callable[..., tuple[Mapping[str, Any], ...]]


def test_a_seal_by_a_key_that_the_signers_name_is_good(keys: Path, sealed: Sealed) -> None:
    """With who and which key."""
    (seal,) = seals_of(sealed(keys / "ada"), keys / "signers")
    assert (seal.event, seal.of, seal.result, seal.who) == (2, 1, "good", "ada@mill.example")
    assert seal.key.startswith("ED25519 key SHA256:")


def test_without_signers_it_is_valid_and_whose_is_not_said(keys: Path, sealed: Sealed) -> None:
    """The fingerprint is, so that a person can compare it."""
    (seal,) = seals_of(sealed(keys / "ada"))
    assert (seal.result, seal.who) == ("valid", "")
    shown = subprocess.run(
        ["ssh-keygen", "-l", "-f", str(keys / "ada.pub")], capture_output=True, text=True, check=True
    )
    assert shown.stdout.split()[1] in seal.key


@pytest.mark.parametrize(
    ("key", "signers"), [("bo", "signers"), ("ada", "elsewhere"), ("ada", "run out")], ids=str
)
def test_a_valid_seal_that_no_signer_may_make_is_unknown(
    keys: Path, sealed: Sealed, key: str, signers: str
) -> None:
    """Another key, a key for other things, a key that had run out when it was made."""
    (seal,) = seals_of(sealed(keys / key), keys / signers)
    assert (seal.result, seal.who) == ("unknown", "")
    assert seal.why


def test_a_key_that_ran_out_since_still_counts(keys: Path, sealed: Sealed) -> None:
    """By the time that the record gives."""
    (seal,) = seals_of(sealed(keys / "ada"), keys / "running")
    assert seal.result == "good"


@pytest.mark.parametrize("of", [0, 2, 9])
def test_a_seal_over_no_entry_before_it_is_bad(keys: Path, sealed: Sealed, of: int) -> None:
    """It vouches for nothing that stands there."""
    (seal,) = seals_of(sealed(keys / "ada", of), keys / "signers")
    assert seal.result == "bad"


@pytest.mark.parametrize(
    "lines",
    [
        ("nothing of the kind",),
        ("-----BEGIN SSH SIGNATURE-----", "AAAA", "-----END SSH SIGNATURE-----"),
        ("-----BEGIN SSH SIGNATURE-----", "A" * 30_000, "-----END SSH SIGNATURE-----"),
        ("-----BEGIN SSH SIGNATURE-----", "../x; rm -rf ~ $(true)", "-----END SSH SIGNATURE-----"),
    ],
    ids=["words", "empty", "huge", "shell"],
)
def test_what_is_no_signature_is_bad(keys: Path, sealed: Sealed, lines: tuple[str, ...]) -> None:
    """Whatever was put in its place."""
    (seal,) = seals_of(sealed(keys / "ada", lines=lines), keys / "signers")
    assert seal.result == "bad"


def test_a_seal_of_another_record_is_bad(keys: Path, sealed: Sealed) -> None:
    """The same key over another link."""
    (seal,) = seals_of(sealed(keys / "ada", lines=sign("0" * 64, keys / "ada", ask=False)), keys / "signers")
    assert seal.result == "bad"
    assert "does not belong" in seal.why


def test_a_signature_made_for_something_else_is_no_seal(keys: Path, sealed: Sealed, tmp_path: Path) -> None:
    """The namespace keeps a signed letter from passing as a seal."""
    words = ["ssh-keygen", "-Y", "sign", "-n", "file", "-f", str(keys / "ada")]
    link = str(sealed(keys / "ada")[0]["link"])
    done = subprocess.run(words, input=link, capture_output=True, text=True, check=True)
    (seal,) = seals_of(sealed(keys / "ada", lines=tuple(done.stdout.splitlines())), keys / "signers")
    assert seal.result == "bad"


def test_without_ssh_keygen_nothing_is_checked_and_that_is_said(
    keys: Path, sealed: Sealed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not good, not bad."""
    events = sealed(keys / "ada")
    monkeypatch.setenv("PATH", str(tmp_path))
    (seal,) = seals_of(events, keys / "signers")
    assert seal.result == "not checked"
    assert "ssh-keygen" in seal.why
    with pytest.raises(NotSealed, match="ssh-keygen could not be started"):
        sign("0" * 64, keys / "ada", ask=False)


def test_a_signers_file_that_is_not_there_is_said(keys: Path, sealed: Sealed) -> None:
    """In place of calling every seal unknown."""
    with pytest.raises(FileNotFoundError):
        seals_of(sealed(keys / "ada"), keys / "nobody")


def test_of_very_many_seals_the_newest_are_looked_at(keys: Path, header: bytes, written: Written) -> None:
    """A file of nothing but seals cannot keep a reader for hours."""
    lines = ["-----BEGIN SSH SIGNATURE-----", "AAAA", "-----END SSH SIGNATURE-----"]
    events = [event(n, kind="sealed", of=n - 1, signature=lines) for n in range(1, MOST + 6)]
    seals = seals_of(classify(written(header, *events)).events)
    assert [seal.result for seal in seals] == ["not checked"] * 5 + ["bad"] * MOST


def test_what_is_no_key_makes_no_seal(keys: Path, tmp_path: Path) -> None:
    """A missing file, a file that is no key, a locked key that nobody can be asked about."""
    with pytest.raises(NoKey, match="is no file"):
        sign("0" * 64, tmp_path / "none", ask=False)
    (tmp_path / "letter").write_text("Dear Ada\n")
    for key in (tmp_path / "letter", keys / "locked"):
        with pytest.raises(NotSealed, match="made no signature"):
            sign("0" * 64, key, ask=False)


@pytest.mark.skipif(shutil.which("ssh-agent") is None, reason="no agent on this machine")
def test_a_key_that_only_the_agent_holds_seals(
    keys: Path, sealed: Sealed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Named by its public half, as a key on a stick or in a vault is."""
    socket = tmp_path / "agent"
    agent = subprocess.Popen(["ssh-agent", "-D", "-a", str(socket)], stdout=subprocess.DEVNULL)
    try:
        monkeypatch.setenv("SSH_AUTH_SOCK", str(socket))
        for _ in range(200):
            added = subprocess.run(["ssh-add", "-q", str(keys / "ada")], capture_output=True, check=False)
            if not added.returncode:
                break
        shutil.copy(keys / "ada.pub", tmp_path / "only.pub")
        (seal,) = seals_of(sealed(tmp_path / "only.pub"), keys / "signers")
    finally:
        agent.terminate()
        agent.wait()
    assert seal.result == "good"


def test_where_a_signature_cannot_be_put_down_it_is_not_checked(
    keys: Path, sealed: Sealed, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk makes no seal bad."""
    events = sealed(keys / "ada")

    def full(*_: object, **__: object) -> object:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("asleft.journal.seals.TemporaryDirectory", full)
    (seal,) = seals_of(events, keys / "signers")
    assert seal.result == "not checked"
    assert "no space left" in seal.why

"""Seals: OpenSSH signatures over the link of an event, made and verified by `ssh-keygen -Y`.

A seal shows whose key vouched for a record up to an event. It proves neither the time nor that a reading was
taken. No key and no passphrase ever passes through this program.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO

NAMESPACE = "asleft-session"
"""What the signature is for: one made for something else does not verify as a seal."""
PROGRAM = "ssh-keygen"
MEANING = (
    "A seal shows whose key vouched for the record up to an entry; it proves neither the time nor that a"
    " reading was taken."
)
_FIRST, _LAST = "-----BEGIN SSH SIGNATURE-----", "-----END SSH SIGNATURE-----"
_LONGEST = 20_000
"""Characters of the longest signature looked at; a 16384-bit RSA one has some 6 000."""
MOST = 20
"""Seals of one record that are looked at: each takes up to four runs of ssh-keygen."""
_ANSWER_S = 20.0
_CHATTER = "Signing data on standard input"
_TOUCH = "Confirm user presence"
"""What ssh-keygen says while it waits for a touch; a passphrase it asks for at the terminal itself."""


class NotSealed(OSError):
    """No signature was made: why, in one sentence."""


class NoKey(NotSealed):
    """What was named is no key file."""


@dataclass(frozen=True, slots=True)
class Seal:
    """One seal of a record, looked at.

    `result` is `good` where a key that the signers file names made it, `valid` where some key did and no
    signers file was given, `unknown` where it is valid and none of the signers made it, `bad` where it does
    not belong to this record, `not checked` where it could not be looked at.
    """

    event: int
    of: int
    result: str
    who: str = ""
    key: str = ""
    why: str = ""

    @property
    def told(self) -> str:
        """The seal in words."""
        return f"event {self.event} over 1 to {self.of}: {self.verdict}"

    @property
    def verdict(self) -> str:
        """What came of looking at it, by whose key, and why."""
        by = " ".join(part for part in (self.who, self.key) if part)
        return self.result + (f", {by}" if by else "") + (f": {self.why}" if self.why else "")

    @property
    def false(self) -> bool:
        """Whether it vouches for nothing: of another record, or by nobody whom the signers file names."""
        return self.result in ("bad", "unknown")


Signer = Callable[[str, Path], Sequence[str]]
"""Makes the lines of a signature over a link with a key. Raises NotSealed."""


def sign(link: str, key: Path, *, ask: bool = True) -> tuple[str, ...]:
    """The lines of a signature over a link, by a private key or, given the public one, by the agent.

    With `ask`, ssh-keygen may ask at the terminal for a passphrase or a touch; without, it fails where it
    would have to. Raises NotSealed.
    """
    if not key.is_file():
        raise NoKey(f"{key} is no file; name a private key, or a public one whose key the agent holds.")
    command = [PROGRAM, "-Y", "sign", "-n", NAMESPACE, "-f", str(key)]
    try:
        program = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=not ask,
            env=_surroundings() if ask else {**_surroundings(), "SSH_ASKPASS_REQUIRE": "never"},
            text=True,
            errors="replace",
        )
    except OSError as problem:
        missing = f"{PROGRAM} could not be started, and no seal is made without it ({_why(problem)})."
        raise NotSealed(missing) from problem
    assert program.stdin is not None
    assert program.stdout is not None
    assert program.stderr is not None
    with program:
        # A program that ended at once reads nothing; its own words tell why.
        with suppress(BrokenPipeError):
            program.stdin.write(link)
            program.stdin.close()
        said = list(_heard(program.stderr, aloud=ask))
        lines = tuple(program.stdout.read().splitlines())
    if program.returncode or not _is_signature(lines):
        why = said[-1].rstrip(".") if said else "it did not say why"
        raise NotSealed(f"{PROGRAM} made no signature with {key}: {why}.")
    return lines


def _heard(stream: IO[str], *, aloud: bool) -> Iterator[str]:
    """What ssh-keygen says; passed on at once where a person has to touch a key."""
    for line in stream:
        said = "".join(c for c in line.strip() if c.isprintable())
        if not said or said.startswith(_CHATTER):
            continue
        if aloud and said.startswith(_TOUCH):
            print(said, file=sys.stderr, flush=True)
        yield said


def seals_of(events: Sequence[Mapping[str, object]], signers: Path | None = None) -> tuple[Seal, ...]:
    """Every seal among verified events, looked at: the newest ones where there are very many.

    Raises OSError where the signers file cannot be read.
    """
    if signers is not None:
        with signers.open("rb"):
            pass
    sealed = [event for event in events if event["kind"] == "sealed"]
    return tuple(
        _looked_at(event, events, signers) if at >= len(sealed) - MOST else _passed_over(event)
        for at, event in enumerate(sealed)
    )


def _passed_over(event: Mapping[str, object]) -> Seal:
    n, of = event["n"], event["of"]
    assert isinstance(n, int)
    assert isinstance(of, int)
    return Seal(n, of, "not checked", why=f"only the newest {MOST} seals are")


def _looked_at(
    event: Mapping[str, object], events: Sequence[Mapping[str, object]], signers: Path | None
) -> Seal:
    n, of, lines = event["n"], event["of"], event["signature"]
    assert isinstance(n, int)
    assert isinstance(of, int)
    assert isinstance(lines, list | tuple)
    if not 0 < of < n:
        return Seal(n, of, "bad", why="it names no entry before it")
    if not _is_signature(lines):
        return Seal(n, of, "bad", why="it holds no OpenSSH signature")
    link = str(events[of - 1]["link"])
    try:
        with TemporaryDirectory(prefix="asleft-") as folder:
            file = Path(folder) / "seal"
            file.write_text("\n".join(lines) + "\n", encoding="utf-8")
            result, who, key, why = _verdict(file, link, signers, str(event["at"]))
    except (OSError, subprocess.SubprocessError) as problem:
        return Seal(n, of, "not checked", why=f"{PROGRAM} could not be asked ({_why(problem)})")
    return Seal(n, of, result, who, key, why)


def _verdict(file: Path, link: str, signers: Path | None, at: str) -> tuple[str, str, str, str]:
    """Result, who, with which key, and why."""
    alone = _asked(["check-novalidate", "-n", NAMESPACE, "-s", str(file)], link)
    key = alone.stdout.partition(" with ")[2].strip()
    if alone.returncode:
        return "bad", "", key, "the signature does not belong to this record"
    if signers is None:
        return "valid", "", key, "whose key it is was not checked"
    # The time of the entry counts, as the record says it, so that a key that has run out since still does.
    time = "-Overify-time=" + "".join(c for c in at if c.isdigit())[:14]
    found = _asked(["find-principals", "-s", str(file), "-f", str(signers), time], "")
    if found.returncode or not found.stdout.strip():
        return "unknown", "", key, "none of the signers' keys made it"
    for who in found.stdout.replace("\n", ",").split(","):
        verified = _asked(
            ["verify", "-n", NAMESPACE, "-s", str(file), "-f", str(signers), "-I", who, time], link
        )
        if not verified.returncode:
            return "good", who, key, ""
    return "unknown", "", key, "the signers file does not allow this key to make it"


def _asked(words: Sequence[str], text: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [PROGRAM, "-Y", *words],
        input=text,
        capture_output=True,
        text=True,
        errors="replace",
        timeout=_ANSWER_S,
        check=False,
        start_new_session=True,
        env=_surroundings(),
    )


def _surroundings() -> dict[str, str]:
    """The environment of ssh-keygen: times are read in UTC, as the record has them."""
    return {**os.environ, "TZ": "UTC", "LC_ALL": "C"}


def _why(problem: Exception) -> str:
    return ((problem.strerror if isinstance(problem, OSError) else "") or "no answer").lower()


def _is_signature(lines: Sequence[object]) -> bool:
    whole = [line for line in lines if isinstance(line, str)]
    return (
        len(whole) == len(lines) > 2
        and sum(map(len, whole)) <= _LONGEST
        and whole[0] == _FIRST
        and whole[-1] == _LAST
    )

"""`asleft report FILE...`: one page a session that needs nothing else, or twenty lines for a message."""

from __future__ import annotations

import stat
from collections.abc import Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from asleft.face.rows import TITLES, rows
from asleft.face.rows.fields import WHEN
from asleft.face.rows.findings import finding_row
from asleft.help import cautions
from asleft.help import page as help_page
from asleft.journal import seals_of
from asleft.line.reading import read_session
from asleft.line.text import complain, dumped, plain, say, say_all
from asleft.line.troubles import REFUSED, exit_code, sentence
from asleft.review.report import Entered, Given, Page, as_html, as_text, page, session_of
from asleft.settings.whole import replace_whole

if TYPE_CHECKING:
    from asleft.line.reading import Read
    from asleft.visit import View

WRONG = 1
_PAGE = (".html", ".htm")


class NotOurs(ValueError):
    """What stands where a report was to go is no report of the same session."""


class Made(NamedTuple):
    """A session read, and its report."""

    found: Read
    page: Page
    wrong: bool
    """Whether the record is not whole, or a seal of it is false."""


def run(
    files: Sequence[Path],
    *,
    text: bool = False,
    names_out: bool = False,
    out: Path | None = None,
    system: str = "ip",
    signers: Path | None = None,
    as_json: bool = False,
) -> int:
    """Make the reports and give the exit code: the worst of all files, each of which is tried.

    0 where every record is whole, 1 where one is torn, broken or has a false seal, 2 where one was refused,
    3 where one could not be written. Raises OSError where the signers file cannot be read.
    """
    if signers is not None:
        with signers.open("rb"):
            pass
    if text and out is not None:
        complain("--text prints a message and takes no --out; leave one of them out.")
        return REFUSED
    worst, told = 0, []
    taken: set[Path] = set()
    for n, file in enumerate(files):
        try:
            made = _made(file, system, signers, names_out=names_out)
            lines = as_text(made.page) if text else []
            written = None if text else _written(made.page, _place(made, out, len(files), taken))
        except (OSError, ValueError) as error:
            complain(sentence(error))
            worst = max(worst, REFUSED if isinstance(error, NotOurs) else exit_code(error))
            continue
        worst = max(worst, WRONG if made.wrong else 0)
        if as_json:
            told.append(_told(file, made, written, lines))
        elif text:
            say_all(["", *lines] if n else lines)
        else:
            say(plain(str(written)))
    if as_json:
        say(dumped({"reports": told}))
    return worst


def _told(file: Path, made: Made, written: Path | None, lines: list[str]) -> dict[str, object]:
    chain = dict(made.page.chain)
    return {
        "file": str(file),
        "report": str(written) if written else None,
        "session": str(made.found.contents.header["session"]["id"]) if made.found.view else "",
        "chain": made.found.chain,
        "sha256": chain["SHA-256 of the file"],
        "text": lines,
    }


def _made(file: Path, system: str, signers: Path | None, *, names_out: bool) -> Made:
    found = read_session(file, system)
    contents = found.contents
    size = contents.whole_size + len(contents.tail)
    with file.open("rb") as open_:
        # A record only grows: its first bytes are those that were read, whatever was added since.
        digest = sha256(open_.read(size)).hexdigest()
    view = found.view
    given = Given(
        file.name,
        digest,
        size,
        system,
        names_out,
        seals_of(contents.events, signers),
        tuple(_entered(view, system)) if view else (),
        {f.key: finding_row(view, f, "").label for f in view.findings} if view else {},
        tuple(_cautions()),
        tuple(_commands()),
    )
    false = any(seal.false for seal in given.seals)
    return Made(found, page(view, contents, given), false or not found.whole)


def _entered(view: View, system: str) -> Iterator[Entered]:
    """Every field of every pane, as the panes list them."""
    for pane, title in TITLES.items():
        group = ""
        for row in rows(view, pane, system):
            group = row.group or group
            if row.field in view.ledger.fields:
                yield Entered(title, group, row.field, row.label, row.verdict)


def _cautions() -> Iterator[tuple[str, str]]:
    """Each caution once, with where it belongs."""
    every = [(TITLES[pane], words) for pane, words in cautions()["pane"].items()]
    every += [(WHEN[state], words) for state, words in cautions()["state"].items()]
    for words in dict.fromkeys(words for _, words in every):
        yield ", ".join(where for where, said in every if said == words), words


def _commands() -> Iterator[str]:
    """The commands of the help page by which anybody can verify a file."""
    for block in help_page("session-file").split("```sh\n")[1:]:
        yield block.partition("\n```")[0]


def _place(made: Made, out: Path | None, count: int, taken: set[Path]) -> Path:
    """Where a report goes; with a number behind its name where two files of one run have the same."""
    if out is not None and count == 1 and out.suffix.lower() in _PAGE and not out.is_dir():
        return out
    folder = out or Path()
    folder.mkdir(parents=True, exist_ok=True)
    name = _named(made)
    place, n = folder / f"{name}.html", 2
    while place in taken:
        place, n = folder / f"{name}-{n}.html", n + 1
    taken.add(place)
    return place


def _named(made: Made) -> str:
    """The name of the session file; without that of the site where names are left out."""
    about = made.page
    if not about.names_out:
        return made.found.path.stem
    return "-".join(part for part in (about.date, about.unit_id, about.id[:8]) if part) or "report"


def _there(place: Path) -> str | None:
    """The session whose report stands at a place; None for nothing, and no session's for anything else."""
    try:
        if not stat.S_ISREG(place.stat().st_mode):
            return "another thing"
    except FileNotFoundError:
        return "another thing" if place.is_symlink() else None
    with place.open("rb") as file:
        found = session_of(file.read(4096).decode("utf-8", "replace"))
    return "another thing" if found is None else found


def _written(about: Page, place: Path) -> Path:
    """Write a page in one step. Only a report of the same session is ever put aside for it."""
    if _there(place) not in (None, about.id):
        raise NotOurs(
            f"{place} is there already and is no report of this session; name another place with --out."
        )
    # A page is made to be handed on, unlike a session.
    replace_whole(place, as_html(about).encode(), mode=0o644)
    return place

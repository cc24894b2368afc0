"""Rows of the sign-off: what is open, what may be waived, the signature, remarks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, assert_never

from asleft.checks import CONCLUDING
from asleft.face.rows.drill import drill_rows, remark
from asleft.face.rows.fields import field_rows
from asleft.face.rows.findings import finding_rows, open_row, waiver_rows
from asleft.face.rows.row import Row
from asleft.help import cautions
from asleft.journal.seals import MEANING
from asleft.session.acts import Note, Seal, Sign
from asleft.session.payloads import Broke, CouldNot, Hinted, Mended, Noted, Reported, Reviewed, Sealed
from asleft.session.saying import refused_words

if TYPE_CHECKING:
    from asleft.checks.finding import Finding
    from asleft.session.payloads import NotedDone
    from asleft.visit import View

MOST_SEALS = 3
"""Seals told of on the row; asleft check tells of all."""


MOST_OPEN = 3
"""Open findings told with their reason on the signature's row; of more, the rows above tell."""


def signoff_rows(view: View, system: str) -> Iterator[Row]:
    """Open findings, waivers, the pane's own fields, the signature and a remark."""
    yield from drill_rows(view)
    open_ = [f for f in view.findings if f.open and f.id not in CONCLUDING]
    summary = view.finding("SO-2 unit")
    yield from finding_rows(view, "signoff")
    for n, finding in enumerate(open_):
        yield open_row(view, finding, f"Open: {len(open_)}" if n == 0 else "")
    yield from waiver_rows(view)
    yield from field_rows(view, "signoff", system)
    signature = view.state.signature
    yield Row(
        Sign(),
        "Signature",
        now=signature.outcome if signature else "",
        verdict="signed" if signature else "",
        group="Signing",
        help="commissioned, or not commissioned. Any later change makes it unsigned.",
        choices=("commissioned", "not commissioned"),
        details=_signed(view, summary.text if summary else "", open_),
        caution=cautions()["pane"]["signoff"],
        findings=("SO-2 unit", "SO-3 unit"),
        prefill=view.next.outcome,
        done=signature is not None,
    )
    if signature is not None:
        yield _seal_row(view)
    for n, note in enumerate(view.state.notes):
        yield Row(
            None,
            note.text,
            verdict=remark(note.what),
            group="Remarks" if n == 0 else "",
            help=f"Event {note.n}, {note.by}.",
            details=(note.text, *(f"About {what}" for what in (_about(note.what),) if what)),
        )
    group = "" if view.state.notes else "Remarks"
    yield Row(Note(), "Add a remark", help="Anything that the next person should know.", group=group)


def _about(note: NotedDone) -> str:
    """What a remark is about, besides its text."""
    match note:
        case Mended():
            return note.finding.key
        case CouldNot():
            return refused_words(note)
        case Broke():
            return note.hold
        case Noted() | Reported() | Hinted():
            return ""
        case _:
            assert_never(note)


def _seal_row(view: View) -> Row:
    """The newest seal, and whether anything was recorded after it."""
    history = view.state.history
    seals = [(event, event.what) for event in history if isinstance(event.what, Sealed)]
    newest = seals[-1][0].n if seals else view.state.last_n
    behind = any(event.n > newest and not isinstance(event.what, Reviewed) for event in history)
    return Row(
        Seal(),
        "Seal",
        now=f"1 to {seals[-1][1].of}" if seals else "",
        verdict=("entries after it" if behind else "sealed") if seals else "",
        help="The path of an OpenSSH key. Nobody has to seal; it may be done again.",
        details=(
            MEANING,
            *(f"Event {e.n} seals 1 to {seal.of}: {e.by}, {e.at}." for e, seal in seals[-MOST_SEALS:]),
            "Whose key it was: asleft check FILE --signers ALLOWED_SIGNERS",
        ),
        done=bool(seals),
    )


def _signed(view: View, summary: str, open_: list[Finding]) -> tuple[str, ...]:
    """What a signature stands for: readings taken, settings written and read back, what is open or waived."""
    acts = view.state.acts
    wrote = {(a.setting, a.address) for a in acts if a.kind == "wrote"}
    back = {(a.setting, a.address) for a in acts if a.kind == "read_back"}
    waived = [f.key for f in view.findings if f.waived]
    told = [f.id for f in view.findings if f.severity == "advise" and f.failed]
    lines = [
        summary,
        *(f"{f.key}: {f.text}" for f in open_ if len(open_) <= MOST_OPEN),
        f"{len(view.state.entries)} entries; {len(wrote)} settings written, {len(back)} read back.",
    ]
    if waived:
        lines.append(f"Waived: {', '.join(waived)}.")
    if told:
        lines.append(f"Told, not binding: {', '.join(told)}.")
    return tuple(line for line in lines if line)

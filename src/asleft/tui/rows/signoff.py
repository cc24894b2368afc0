"""Rows of the sign-off: what is open, what may be waived, the signature, remarks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from asleft.help import cautions
from asleft.tui.rows.fields import field_rows
from asleft.tui.rows.findings import finding_row, finding_rows, pane_of, waiver_rows
from asleft.tui.rows.row import Row
from asleft.tui.rows.titles import TITLES
from asleft.tui.rows.verdicts import sign

if TYPE_CHECKING:
    from asleft.visit import View


def signoff_rows(view: View, system: str) -> Iterator[Row]:
    """Open findings, waivers, the pane's own fields, the signature and a remark."""
    open_ = [f for f in view.findings if f.open and f.id not in ("SO-2", "SO-3")]
    summary = view.finding("SO-2 unit")
    yield from finding_rows(view, "signoff")
    for n, finding in enumerate(open_):
        row = finding_row(finding, f"Open: {len(open_)}" if n == 0 else "")
        word = sign(finding) or "open"
        yield replace(row, found=TITLES[pane_of(finding)].split()[0], verdict=word)
    yield from waiver_rows(view)
    yield from field_rows(view, "signoff", system)
    signature = view.state.signature
    yield Row(
        "sign",
        "Signature",
        now=signature.outcome if signature else "",
        verdict="signed" if signature else "",
        group="Signing",
        help="commissioned, or not commissioned. Any later change makes it unsigned.",
        choices=("commissioned", "not commissioned"),
        details=(summary.text,) if summary else (),
        caution=cautions()["pane"]["signoff"],
        findings=("SO-2 unit", "SO-3 unit"),
        prefill=view.next.outcome,
    )
    yield Row("note", "Remark", help="Anything that the next person should know.", group="Remarks")

"""Ctrl+C at any line of saving an entry: file and journal still say the same, and the next is saved."""

from __future__ import annotations

import sys
from pathlib import Path
from types import FrameType
from typing import Any

from asleft.journal import Chain, Journal, classify
from faults.journal_faults import HEADER


def noted(n: int) -> dict[str, Any]:
    """A remark as an event."""
    return {"n": n, "at": "2031-05-04T10:00:00Z", "by": "Ana", "kind": "noted", "text": "a remark"}


def interrupted_at(line: int, journal: Journal) -> bool:
    """Append an event, and press Ctrl+C before the so-many-th line of the writer; False if it has fewer."""
    seen = 0

    def trace(frame: FrameType, event: str, _: object) -> Any:
        nonlocal seen
        if not frame.f_code.co_filename.endswith("journal/writer.py"):
            return None
        if event == "line":
            seen += 1
            if seen == line:
                sys.settrace(None)
                raise KeyboardInterrupt
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        journal.append([noted(2)])
    except KeyboardInterrupt:
        return True
    finally:
        sys.settrace(before)
    return False


def test_an_interrupt_at_any_line_leaves_file_and_journal_agreed(tmp_path: Path) -> None:
    """What the journal says it holds stands in the file, whole, and one more entry goes on from there."""
    line = 0
    while True:
        line += 1
        with Journal.create(tmp_path, f"visit-{line}", HEADER) as journal:
            journal.append([noted(1)])
            if not interrupted_at(line, journal):
                break
            count = len(journal.contents.events)
            assert classify(journal.path.read_bytes()).events == journal.contents.events, line
            journal.append([noted(count + 1)])
            contents = classify(journal.path.read_bytes())
            assert (contents.chain, len(contents.events)) == (Chain.WHOLE, count + 1), line
    assert line > 20

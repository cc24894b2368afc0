"""What of a damaged session is carried on: numbered anew; what vouched for the old one stays behind."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

from asleft.equipment.library import instruments
from asleft.visit import Visit
from asleft.visit.carrying import verified_entries
from entering import enter
from visit.in_memory import unit
from visit.test_creating import NOW, begun


def event(n: int, kind: str, **data: Any) -> dict[str, Any]:
    """An event as it stands in a file."""
    return {"n": n, "at": NOW, "by": "Ada", "kind": kind, **data, "link": "x"}


def carried(*events: dict[str, Any]) -> tuple[list[dict[str, Any]], str]:
    """What is carried of these, and what is wrong after them."""
    contents = SimpleNamespace(events=events, trouble="It is cut.")
    return verified_entries(contents, unit().equipment)  # type: ignore[arg-type]


def test_a_retraction_goes_with_what_it_retracts() -> None:
    """What judged the old file stays there, with its retraction; evidence keeps to what is there."""
    found, trouble = carried(
        event(1, "noted", text="one"),
        event(2, "reviewed", outcome="accepted", why="fine"),
        event(3, "retracted", of=2, why="not mine"),
        event(4, "noted", text="two"),
        event(5, "retracted", of=4, why="a slip"),
        event(6, "noted", text="open", reports="element-open", evidence=[1, 2, 4]),
    )
    assert [(e["n"], e["kind"]) for e in found] == [
        (1, "noted"),
        (2, "noted"),
        (3, "retracted"),
        (4, "noted"),
    ]
    assert found[2]["of"] == 2
    assert found[3]["evidence"] == [1, 2]
    assert all("link" not in e for e in found)
    assert trouble == "It is cut."


def test_what_no_program_of_ours_wrote_ends_it() -> None:
    """What stands before it is carried, and the reason is told."""
    found, trouble = carried(
        event(1, "noted", text="one"),
        event(2, "chose", topic="none", option="x"),
        event(3, "noted", text="two"),
    )
    assert [e["n"] for e in found] == [1]
    assert trouble.startswith("Event 2 cannot be what this program wrote: ")
    assert trouble.endswith(".")


def test_a_torn_tail_is_kept_and_named(tmp_path: Path) -> None:
    """The visit goes on behind what is whole."""
    visit = begun(tmp_path)
    enter(visit, "note", "one")
    enter(visit, "note", "two")
    visit.close()
    whole = visit.path.read_bytes()
    visit.path.write_bytes(whole[:-10])
    again = Visit.open(visit.path, {i.id: i for i in instruments()}, by="Ada", clock=lambda: NOW)
    assert again.view.state.last_n == 1
    assert again.torn_kept is not None
    assert again.torn_kept.is_file()
    again.close()

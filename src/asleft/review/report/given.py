"""What a report is handed by whoever makes it: the file, and words of rooms above this one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from asleft.journal import Seal


class Entered(NamedTuple):
    """One field as the panes list it: where it stands, what it is called, how it was judged."""

    pane: str
    group: str
    field: str
    label: str
    verdict: str


@dataclass(frozen=True)
class Given:
    """What the page cannot know from a view.

    `labels` are the findings' names by key; `cautions` a place and its words; `verify` the commands by which
    anybody can verify a file. `sha256` and `size` are those of the bytes that were read.
    """

    name: str
    sha256: str
    size: int
    system: str = "ip"
    names_out: bool = False
    seals: tuple[Seal, ...] = ()
    entered: tuple[Entered, ...] = ()
    labels: Mapping[str, str] = field(default_factory=dict)
    cautions: tuple[tuple[str, str], ...] = ()
    verify: tuple[str, ...] = ()

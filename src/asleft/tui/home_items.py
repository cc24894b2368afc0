"""What stands on the home screen, item by item: pure functions of a listing. The screen only draws it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path

from asleft.face.closer import Closer
from asleft.face.listing import Listed, Listing
from asleft.tui.menu import Item, Line

RECENT = 10
"""Signed sessions that are shown."""
INVENTED = ("demo", "drill")
"""Modes of sessions that are no job."""
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

ACTIONS = (
    ("new", "n", "New visit", "choose the unit, name the site, begin"),
    ("demo", "d", "Demo", "an invented site with a virtual unit that answers every reading"),
    ("drill", "l", "Lesson", "a drill: find out what is wrong with a virtual unit"),
    ("settings", "s", "Settings", "your name, units, instruments, code edition, altitude, colours"),
    ("help", "h", "Help", "what all of this is for"),
    ("leave", "q", "Leave", "back to the shell; F10 does the same"),
)
"""What can be begun, each with its key."""


def items(
    listing: Listing, looked: Mapping[Path, Closer], now: datetime, *, roomy: bool = False
) -> tuple[tuple[Item, ...], dict[str, Path]]:
    """The items of the home screen, and the file behind each that is a session. `roomy` parts the groups."""
    open_ = [one for one in listing.listed if one.open]
    done = _done(listing)
    bad = [one for one in listing.listed if one.glance.trouble]
    made: list[Item] = []
    files: dict[str, Path] = {}

    def group(title: str, more: str = "") -> None:
        if made and roomy:
            made.append(Item("", (Line(""),)))
        made.append(Item("", (Line(title, more, "italic dim"),)))

    def add(one: Listed, lines: Iterator[Line]) -> None:
        number = str(len(files) + 1)
        files[f"session-{number}"] = one.path
        key = number if len(number) == 1 else " "
        first, *rest = lines
        made.append(
            Item(f"session-{number}", (Line(f"{key}  {first.text}", first.right, first.style), *rest))
        )

    if open_:
        group("Open visits")
        for one in open_:
            if roomy and one is not open_[0]:
                made.append(Item("", (Line(""),)))
            add(one, _open_lines(one, looked.get(one.path), now))
    group("Begin")
    made.extend(Item(id, (Line(f"{key}  {label:<11}{more}"),)) for id, key, label, more in ACTIONS)
    if listing.trouble:
        group("Sessions cannot be listed")
        made.append(Item("", (Line(f"   {listing.trouble}", style="$warning"),)))
    if done:
        group("Recent sessions")
        for one in done[:RECENT]:
            add(one, _done_lines(one, looked.get(one.path), now))
    if bad:
        group("No sessions, or not to be read")
        for one in bad:
            made.append(Item(f"bad-{len(made)}", (Line(f"   {one.path.name}: {one.glance.trouble}"),)))
    left = listing.older + max(0, len(done) - RECENT)
    if left:
        made.append(Item("", (Line(f"   {left} older not shown; asleft open FILE opens any", style="dim"),)))
    return tuple(made), files


def looked_closer_at(listing: Listing) -> tuple[Path, ...]:
    """The sessions of the list that a closer look is worth: all that are open, and the signed ones shown."""
    open_ = [one for one in listing.listed if one.open]
    return tuple(one.path for one in (*open_, *_done(listing)[:RECENT]))


def _done(listing: Listing) -> list[Listed]:
    return [one for one in listing.listed if not one.open and not one.glance.trouble]


def first_choice(listing: Listing) -> str:
    """Where the mark stands at first: on the open visit last written, else on a new visit."""
    return "session-1" if any(one.open for one in listing.listed) else "new"


def when(at: str, written_s: float, now: datetime) -> str:
    """A moment in local time: that of the last entry, else that of the file. `now` says what local is.

    >>> from datetime import timedelta, timezone
    >>> when("2031-05-04T22:10:00Z", 0.0, datetime(2031, 5, 5, 8, 0, tzinfo=timezone(timedelta(hours=2))))
    'today 00:10'
    """
    try:
        moment = datetime.fromisoformat(at)
        moment = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    except ValueError:
        moment = datetime.fromtimestamp(written_s, UTC) if written_s else now
    try:
        local = moment.astimezone(now.tzinfo)
    except (OverflowError, ValueError):
        # The first and the last day of the calendar have no neighbour in another zone.
        return at
    days = (now.date() - local.date()).days
    if days in (0, 1):
        return f"{('today', 'yesterday')[days]} {local:%H:%M}"
    return f"{local.day} {_MONTHS[local.month - 1]} {local.year} {local:%H:%M}"


def _named(one: Listed) -> str:
    seen = one.glance
    name = (seen.site or one.path.stem) + (f" ({seen.mode})" if seen.mode in INVENTED else "")
    return f"{name} · {seen.unit}" if seen.unit else name


def _open_lines(one: Listed, closer: Closer | None, now: datetime) -> Iterator[Line]:
    seen = one.glance
    yield Line(_named(one), f"written {when(seen.at, one.written_s, now)}", "bold")
    entries = (
        f"{seen.entries} {'entry' if seen.entries == 1 else 'entries'} saved"
        if seen.entries
        else "nothing entered yet"
    )
    if closer is not None and closer.trouble:
        yield from _damaged(closer, f"{entries}; ")
        return
    yield Line(f"   {entries}" + (f" · next: {closer.next}" if closer is not None else ""))
    if seen.cut:
        more = "looking closer" if closer is None else "nothing else was lost"
        yield Line(f"   Its last line was cut short as it was written; {more}.")


def _damaged(closer: Closer, entries: str = "") -> Iterator[Line]:
    yield Line(f"   {entries}it is damaged; Enter says why, and how to go on")
    yield Line(f"   ! {closer.trouble}", style="$warning")


def _done_lines(one: Listed, closer: Closer | None, now: datetime) -> Iterator[Line]:
    seen = one.glance
    bad = closer is not None and bool(closer.trouble)
    said = (
        f"written {when(seen.at, one.written_s, now)}"
        if bad
        else (f"{seen.outcome}, {when(seen.at, one.written_s, now)}")
    )
    yield Line(f"{_named(one)}", said)
    if closer is not None and bad:
        yield from _damaged(closer)

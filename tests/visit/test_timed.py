"""Ten minutes of heat are ten minutes by the clock: of the entries, of a file of readings, or of a rig."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from asleft.checks import Finding
from asleft.drill.rig import ask
from asleft.session.acts import Enter
from asleft.session.saying import what_of
from asleft.unattended import Job
from asleft.visit import Refused
from played import begun_at

MINUTES = [f"heat.minute.{n}.current" for n in range(1, 11)]
FIRST, TENTH = MINUTES[0], MINUTES[-1]


class Clock:
    """A clock that a test moves."""

    def __init__(self, at: str) -> None:
        self.now = datetime.fromisoformat(at)

    def __call__(self) -> str:
        return f"{self.now:%Y-%m-%dT%H:%M:%SZ}"

    def wait(self, seconds: float) -> None:
        """Let time go by."""
        self.now += timedelta(seconds=seconds)


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """A healthy visit in which the first minute of all heat is next."""
    return begun_at(tmp_path / "visit", FIRST)


@pytest.fixture
def clock(job: Job, monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Its clock, which stands still unless it is moved."""
    made = Clock(job.visit.view.state.history[-1].at)
    monkeypatch.setattr(job.visit, "_clock", made)
    return made


def found(job: Job) -> Finding:
    """What is found of the ten minutes."""
    finding = job.visit.view.finding("HS-16 unit")
    assert finding is not None
    return finding


def typed(job: Job, field: str) -> str:
    """What the clamp shows."""
    return ask(job.rig, job.visit.view, Enter(field)).typed


def enter_all(job: Job, clock: Clock, apart_s: float, *fields: str) -> None:
    """Minute after minute as a person types them, so many seconds apart."""
    for field in fields or MINUTES:
        clock.wait(apart_s)
        job.visit.enter(field, typed(job, field))


def test_ten_minutes_entered_within_nine_seconds_are_none(job: Job, clock: Clock) -> None:
    """Not tested, with the reason and what to do; next asks for the tenth minute again until it is one."""
    enter_all(job, clock, 1.0)
    finding, following = found(job), job.visit.view.next
    assert (finding.verdict, finding.severity) == ("not measured", "correct")
    assert finding.text.startswith("“Amps, minute 10 of all heat” was read 9 s after “Amps, minute 1")
    assert finding.do == "Keep all heat on. Read it again after 8 more minutes."
    assert (following.do, following.field) == ("measure_again", TENTH)
    assert following.why == f"{finding.text} {finding.do}"
    clock.wait(300.0)
    job.visit.enter(TENTH, typed(job, TENTH))
    assert found(job).do == "Keep all heat on. Read it again after 3 more minutes."
    assert job.visit.view.next.field == TENTH
    clock.wait(171.0)
    job.visit.enter(TENTH, typed(job, TENTH))
    assert found(job).verdict == "pass"
    assert job.visit.view.next.field != TENTH


@pytest.mark.parametrize(("apart_s", "verdict"), [(479.0, "not measured"), (480.0, "pass")])
def test_eight_minutes_are_the_least(job: Job, clock: Clock, apart_s: float, verdict: str) -> None:
    """To the second; the minutes between may come when they come."""
    enter_all(job, clock, 0.0, *MINUTES[:-1])
    enter_all(job, clock, apart_s, TENTH)
    assert found(job).verdict == verdict


def test_a_tenth_minute_of_an_earlier_trial_is_none(job: Job, clock: Clock) -> None:
    """Where the first minute is read anew, the tenth has to be too."""
    enter_all(job, clock, 60.0)
    assert found(job).verdict == "pass"
    enter_all(job, clock, 60.0, FIRST)
    assert found(job).verdict == "not measured"
    assert "was read before" in found(job).text
    assert job.visit.view.next.field == TENTH


def test_a_tenth_minute_too_soon_is_no_other_open_finding(job: Job, clock: Clock) -> None:
    """Nothing was changed, so nothing else is stale: one cause, one finding."""
    enter_all(job, clock, 1.0)
    stale = job.visit.view.finding("SO-1 unit")
    assert stale is not None
    assert "minute" not in stale.text


def test_a_rig_tells_the_time_by_its_own_clock(job: Job, clock: Clock) -> None:
    """The virtual unit waits minutes in no time; the record says so, and the finding whose clock counts."""
    for field in MINUTES:
        clock.wait(1.0)
        answer = ask(job.rig, job.visit.view, Enter(field))
        job.visit.submit(Enter(field), answer.typed, answer.read_at)
    first, tenth = (job.visit.view.ledger.current(f) for f in (FIRST, TENTH))
    assert first is not None
    assert tenth is not None
    assert (first.read_at, tenth.read_at > tenth.at) == ("", True)
    assert datetime.fromisoformat(tenth.read_at) - datetime.fromisoformat(first.at) == timedelta(minutes=9)
    assert found(job).verdict == "pass"
    assert "9.0 min apart, times brought by a file of readings or a rig" in found(job).working


def test_a_time_that_a_reading_brought_is_told_with_it(job: Job, clock: Clock) -> None:
    """Wherever an event is told in words."""
    for field in MINUTES[:2]:
        answer = ask(job.rig, job.visit.view, Enter(field))
        job.visit.submit(Enter(field), answer.typed, answer.read_at)
    first, second = job.visit.view.state.history[-2:]
    assert "read at" not in what_of(first)
    later = f"{clock.now + timedelta(minutes=1):%Y-%m-%dT%H:%M:%SZ}"
    assert what_of(second).endswith(f", read at {later} by a file of readings or a rig")


def test_a_rigs_short_wait_is_no_ten_minutes(job: Job, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its clock counts against it as well."""
    asked = job.rig.ask

    def hasty(request: Any) -> dict[str, Any]:
        answer = dict(asked(request))
        return answer | {"after_s": answer["after_s"] / 2.0} if "after_s" in answer else answer

    monkeypatch.setattr(job.rig, "ask", hasty)
    for field in MINUTES:
        clock.wait(60.0)
        answer = ask(job.rig, job.visit.view, Enter(field))
        job.visit.submit(Enter(field), answer.typed, answer.read_at)
    assert found(job).verdict == "not measured"
    assert "was read 4 min after" in found(job).text


def test_the_times_of_the_entries_are_told_as_such(job: Job, clock: Clock) -> None:
    """Nobody need guess whose clock it was."""
    enter_all(job, clock, 60.0)
    assert "9.0 min apart, times of the entries" in found(job).working


# ---- times that a file of readings brings


def at(clock: Clock, minutes: float) -> str:
    """A time so many minutes from now."""
    return f"{clock.now + timedelta(minutes=minutes):%Y-%m-%dT%H:%M:%SZ}"


def test_a_file_of_readings_brings_the_time_of_each(job: Job, clock: Clock) -> None:
    """Entered together afterwards, they are ten minutes all the same; any zone is read."""
    clock.wait(1200.0)
    for n, field in enumerate(MINUTES):
        said = at(clock, n - 15.0)
        if n == 9:
            said = (
                datetime.fromisoformat(said).astimezone(datetime.fromisoformat("2000-01-01T00+05:30").tzinfo)
            ).isoformat()
        job.visit.enter(field, typed(job, field), read_at=said)
    assert found(job).verdict == "pass"
    last = job.visit.view.state.history[-1].written()
    assert last["read_at"] == at(clock, -6.0)
    assert "brought by a file" in found(job).working


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("soon", "is no time"),
        ("2026-13-01T00:00:00Z", "is no time"),
        ("2026-06-01T10:00:00", "has no zone"),
        ("2026-06-01", "has no zone"),
        ("0001-01-01T00:00:00+14:00", "is no time"),
        ("9999-12-31T23:59:59Z", "later than its entry"),
        ("1999-01-01T00:00:00Z", "before the visit began"),
    ],
)
def test_a_time_that_cannot_be_is_refused(job: Job, clock: Clock, said: str, why: str) -> None:
    """Nothing is recorded, and it is said what would be right."""
    before = job.visit.view.state.last_n
    with pytest.raises(Refused, match=why):
        job.visit.enter(FIRST, "43.0 A", read_at=said)
    assert job.visit.view.state.last_n == before


def test_a_reading_from_before_what_changed_it_is_refused(job: Job, clock: Clock) -> None:
    """It would stand as left and be as found."""
    changed = job.visit.view.ledger.changes(FIRST)[-1]
    written = next(e.at for e in job.visit.view.state.history if e.n == changed)
    early = datetime.fromisoformat(written) - timedelta(seconds=1)
    with pytest.raises(Refused, match=f"before event {changed} changed this reading"):
        job.visit.enter(FIRST, "43.0 A", read_at=f"{early:%Y-%m-%dT%H:%M:%SZ}")
    job.visit.enter(FIRST, typed(job, FIRST), read_at=written)


@pytest.mark.parametrize("left", ["note", "identity.site", "power", "heat.path.normal"])
def test_only_a_reading_brings_a_time(job: Job, clock: Clock, left: str) -> None:
    """Nothing else is read off an instrument."""
    with pytest.raises(Refused, match="is no reading"):
        job.visit.enter(left, "on", read_at=clock())


def test_a_visit_begins_with_its_first_entry(tmp_path: Path) -> None:
    """Of an empty one nothing can have been read before."""
    job = begun_at(tmp_path / "visit", "identity.technician")
    clock = Clock("2031-05-04T09:00:00Z")
    job.visit._clock = clock
    field = next(f.id for f in job.visit.view.ledger.fields.values() if f.measured)
    with pytest.raises(Refused, match="before the visit began"):
        job.visit.enter(field, "1 V", read_at="2031-05-04T08:59:59Z")

"""A home of its own for every test; and a wizard on the demo unit, played to a chosen point."""

from __future__ import annotations

import errno
import gc
import os
import sys
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from asleft.unattended import Job
from looked import ROOMS, Looked, put_in_place
from played import begun_at, found_once
from shared import share_in
from stillness import still

Played = Callable[[str], Job]
SEED = 2
TESTS = Path(__file__).parent
LOOK_AFTER = 100_000
"""How many more things are made than let go before the first look for what nobody holds; Python: 700."""
_HOMES = count()

# What the interpreter compiled is kept, whatever this machine is set to: else each of some four hundred
# processes that the tests start would compile the whole program anew, and so would each worker the tests.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """One more than cores: now and then a test waits, for a timer or for a program that it has started."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return cores + 1


def pytest_collection_finish(session: pytest.Session) -> None:
    """What is loaded by now stays until the end, and garbage is not looked for all the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(LOOK_AFTER, 20, 20)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """A process that has nothing left takes tests from one that has: those of the screen stand together."""
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log)


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for each test, not there yet, in which the program would keep everything."""
    folder = tmp_path_factory.getbasetemp() / "homes" / str(next(_HOMES))
    folder.parent.mkdir(exist_ok=True)
    monkeypatch.setenv("ASLEFT_HOME", str(folder))
    return folder


@pytest.fixture(autouse=True, scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory) -> None:
    """What takes long to make is made once for all the processes of a run."""
    base = tmp_path_factory.getbasetemp()
    share_in((base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "shared")


@pytest.fixture(autouse=True, scope="session")
def sites(shared: None) -> Iterator[None]:
    """The healthy site of a unit and a seed, which may take seconds to find, is found once a run."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("asleft.unattended.jobs.site", found_once)
        patched.setattr("asleft.drill.classroom.sheet.site", found_once)
        yield


@pytest.fixture(autouse=True, scope="session")
def looked() -> Looked:
    """Where visits are played, shown and told, a session as it stood is reckoned once."""
    return put_in_place()


@pytest.fixture(autouse=True)
def look_once(looked: Looked, request: pytest.FixtureRequest) -> None:
    """Only there."""
    looked.on = request.path.relative_to(TESTS).parts[0] in ROOMS


@pytest.fixture(autouse=True, scope="session")
def at_rest() -> Iterator[None]:
    """Keys pressed by the screen library's test driver are waited for until the screen is at rest."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("textual.app.wait_for_idle", still)
        patched.setattr("textual.pilot.wait_for_idle", still)
        # Home lets its first drawing be seen before it looks closer; nobody sees one here.
        patched.setattr("asleft.tui.home.SETTLED_S", 0.001)
        yield


@pytest.fixture
def read_only(own_home: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The same, with settings of Ada's in it, as a file system that may only be read."""
    own_home.mkdir(parents=True)
    (own_home / "settings.toml").write_text('technician = "Ada"\n')
    real = os.open

    def refused(path: str | Path, flags: int, *more: int, **named: int) -> int:
        if flags & (os.O_WRONLY | os.O_RDWR) and str(path).startswith(str(own_home)):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(path))
        return real(path, flags, *more, **named)

    monkeypatch.setattr(os, "open", refused)
    return own_home


@pytest.fixture
def played(tmp_path: Path, request: pytest.FixtureRequest) -> Played:
    """A demo visit in which all was done that next says, until it is an act that starts like this."""

    def until(left: str) -> Job:
        job = begun_at(tmp_path, left, SEED)
        request.addfinalizer(job.close)
        return job

    return until

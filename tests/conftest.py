"""A wizard on the demo unit, played to a chosen point."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from asleft.drill.technician import act
from asleft.equipment.library import find
from asleft.unattended import Job, begin

Played = Callable[[str], Job]
SEED = 2


@pytest.fixture
def played(tmp_path: Path, request: pytest.FixtureRequest) -> Played:
    """Begin a demo visit and do what next says until it would be an act that starts like this."""

    def until(left: str) -> Job:
        job = begin(tmp_path, find("tarnfield-lowmoor-36"), SEED)
        request.addfinalizer(job.close)
        while left and not job.visit.view.next.enter.startswith(left):
            assert job.visit.view.next.do != "nothing", f"{left} never came"
            job.visit.submit(*act(job.visit.view, job.rig))
        return job

    return until

"""Every test here says where its expected answer comes from."""

from __future__ import annotations

import pytest

KINDS = {"published", "independent_library", "own_arithmetic"}


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Fail a test of this folder that carries none of the three marks, or more than one."""
    marks = KINDS & {mark.name for mark in item.iter_markers()}
    if len(marks) != 1:
        pytest.fail(f"marked {sorted(marks)}; expected exactly one of {sorted(KINDS)}", pytrace=False)

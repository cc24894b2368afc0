"""What went wrong is known by name: each name is that of something that can go wrong."""

from __future__ import annotations

from importlib import import_module

import pytest

from asleft.line.troubles import _ALL_OF_IT, _GIVEN_WRONG


@pytest.mark.parametrize("name", sorted(_GIVEN_WRONG | _ALL_OF_IT))
def test_every_name_is_that_of_an_error(name: str) -> None:
    """A class that was moved would end a command with another exit code, and nobody be told."""
    module, _, called = name.rpartition(".")
    assert issubclass(getattr(import_module(module), called), Exception)

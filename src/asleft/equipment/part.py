"""What every part of an equipment file has in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """Any part of the file: frozen, and refusing keys that it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=False)

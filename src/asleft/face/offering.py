"""What is remembered, offered on the rows that it is for. It counts once a person enters it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from asleft.face.rows.row import Row
from asleft.session.acts import Act

SAID = "Remembered from your settings; it counts once you enter it."


def offered(rows: tuple[Row, ...], offers: Mapping[Act, str]) -> tuple[Row, ...]:
    """The rows, those that hold nothing yet with what is offered for them."""
    if not offers:
        return rows
    return tuple(
        replace(row, prefill=offers[row.act], details=(*row.details, SAID))
        if row.act is not None and row.act in offers and not row.done
        else row
        for row in rows
    )

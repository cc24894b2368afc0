"""What the panes and their columns are called."""

from __future__ import annotations

TITLES = {
    "identity": "Unit identity",
    "electrical": "Electrical checks",
    "blower": "Blower tier",
    "heat": "Heat staging",
    "delay": "Time-delay codes",
    "sequence": "Setting sequence",
    "signoff": "Sign-off",
}
SHORT = {
    "identity": "Identity",
    "electrical": "Electrical",
    "blower": "Blower",
    "heat": "Heat",
    "delay": "Delay",
    "sequence": "Sequence",
    "signoff": "Sign-off",
}
THIRD = {"sequence": "meant"}
"""What stands over the third column where it is not limits."""

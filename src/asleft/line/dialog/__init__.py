"""`--text`: the wizard as questions and answers, a line at a time, over the same visit as the screen."""

from asleft.line.dialog.dialog import run_dialog

__all__ = ["run_dialog"]

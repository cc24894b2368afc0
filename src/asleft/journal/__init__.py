"""The session file: an append-only TOML journal that anybody can verify, and that a power cut cannot spoil.

``classify``, ``header_bytes`` and ``event_bytes`` are pure; only ``Journal`` and ``read`` touch files.
"""

from asleft.journal.classify import Chain, Contents, classify
from asleft.journal.encode import FORMAT, event_bytes, header_bytes, link_of
from asleft.journal.errors import (
    Broken,
    ChangedUnderneath,
    DiskFull,
    Gone,
    JournalError,
    Locked,
    NewerFormat,
    NotASession,
    ReadOnly,
    Unwritable,
)
from asleft.journal.names import stem
from asleft.journal.reader import read
from asleft.journal.seals import NoKey, NotSealed, Seal, Signer, seals_of, sign
from asleft.journal.writer import Journal

__all__ = [
    "FORMAT",
    "Broken",
    "Chain",
    "ChangedUnderneath",
    "Contents",
    "DiskFull",
    "Gone",
    "Journal",
    "JournalError",
    "Locked",
    "NewerFormat",
    "NoKey",
    "NotASession",
    "NotSealed",
    "ReadOnly",
    "Seal",
    "Signer",
    "Unwritable",
    "classify",
    "event_bytes",
    "header_bytes",
    "link_of",
    "read",
    "seals_of",
    "sign",
    "stem",
]

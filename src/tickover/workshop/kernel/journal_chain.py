"""The hash chain: RFC 8785 canonical JSON, SHA-256, each entry over the one before."""

from __future__ import annotations

import hashlib
import json
from typing import Any

import rfc8785

GENESIS = "0" * 64


def canonical(value: Any) -> str:
    """Canonical JSON (RFC 8785) of a value."""
    return rfc8785.dumps(value).decode()


def entry_hash(
    *, sequence: int, at: str, actor: str, kind: str, subject: str, body: str, previous_hash: str
) -> str:
    """SHA-256 over the canonical JSON array of every column of an entry.

    Of an array of whole numbers and text, json already writes the canonical form (a test holds it against
    rfc8785), and it is many times as fast for an entry that holds a whole type sheet.
    """
    columns = [sequence, at, actor, kind, subject, body, previous_hash]
    return hashlib.sha256(json.dumps(columns, ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()

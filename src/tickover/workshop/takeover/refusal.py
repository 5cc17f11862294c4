"""What cannot be taken over, and which field says so."""

from __future__ import annotations

from collections.abc import Mapping

from tickover.workshop.kernel.refusal import RefusedError


class TakeOverError(RefusedError):
    """An engine that cannot be taken over as typed; the text is about `field`."""

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.field = field


class RowsRefusedError(RefusedError):
    """Rows of the table that cannot be; a sentence for each, by its task. Nothing was saved."""

    def __init__(self, rows: Mapping[str, str]) -> None:
        super().__init__(f"{len(rows)} row{'s' if len(rows) > 1 else ''} to correct. Nothing was saved.")
        self.rows = dict(rows)

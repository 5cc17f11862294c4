"""What is written to the program's log: a line for what was refused, a traceback for what broke."""

from __future__ import annotations

import logging


class OneLine(logging.Filter):
    """Takes the traceback from a page that was refused on purpose, and says why instead."""

    def filter(self, record: logging.LogRecord) -> bool:
        status = getattr(record, "status_code", None)
        if status not in (None, 500) and record.exc_info:
            why = " ".join(str(record.exc_info[1]).split())
            record.msg, record.args = f"{status} {record.getMessage()}: {why}", ()
            record.exc_info = record.exc_text = None
        return True

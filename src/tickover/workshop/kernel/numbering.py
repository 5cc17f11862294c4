"""Numbers of jobs, defects and fault-finding sessions: one series for each kind and year."""

from __future__ import annotations

from datetime import datetime

from django.db import models
from django.utils import timezone

from tickover.workshop.kernel import actions as journal


def next_number(rows: type[models.Model], at: datetime, *, prefix: str = "") -> str:
    """The next number of a kind, such as "2026-0007" or "D-2026-0007", inside the caller's transaction.

    The year is that of the workshop's time zone. The number is one above the highest given so far, never a
    count of rows: a book whose rows were numbered by another year goes on with a number that is free.
    """
    journal.one_writer_at_a_time()
    begin = f"{prefix}{timezone.localtime(at).year}-"
    given = rows._default_manager.filter(number__startswith=begin).values_list("number", flat=True)
    counts = (int(rest) for rest in (number.removeprefix(begin) for number in given) if rest.isdecimal())
    return f"{begin}{max(counts, default=0) + 1:04d}"

"""How much of an interval is given away where a task is done before it is due."""

from __future__ import annotations

from tickover.science.core.input_checks import checked_one
from tickover.science.core.kinds import kinds_checked
from tickover.science.planning.due import HOURS, Due


@kinds_checked
def share_left(due: Due, now_h: float, today: int) -> float:
    """Share of the interval that is left, by whichever limit leaves less: 0 when due, 1 just after it was done.

    Parameters
    ----------
    due : Due
        The limits, and where they are counted from.
    now_h : float
        Engine time. [h]
    today : int
        Day. [day ordinal]

    Returns
    -------
    float
        From 0 to 1; 1 without any limit. [-]

    Raises
    ------
    OutOfRangeError
        For an engine time that is not a finite number of hours.

    References
    ----------
    Own definition: a straight line between the last time and the limit.

    Examples
    --------
    >>> due = Due(due_h=150.0, due_day=None, last_h=100.0, last_day=739_000, tolerance_h=5.0, tolerance_days=0)
    >>> share_left(due, now_h=120.0, today=739_100)
    0.6
    """
    now_h = checked_one("engine time", now_h, *HOURS, "h")
    shares = [1.0]
    if due.due_h is not None and due.due_h > due.last_h:
        shares.append((due.due_h - now_h) / (due.due_h - due.last_h))
    if due.due_day is not None and due.due_day > due.last_day:
        shares.append((due.due_day - today) / (due.due_day - due.last_day))
    return min(1.0, max(0.0, min(shares)))

"""Did the engine run faster than it ever may?

By the figure of the type alone: where its sheet names no highest speed, none is supposed.
"""

from __future__ import annotations

import numpy as np

from tickover.science.run_up.findings import Against, RunUpFinding, Severity
from tickover.science.run_up.measuring.trace import Trace

__all__ = ["over_speed"]


def over_speed(trace: Trace, limit: Against | None) -> RunUpFinding | None:
    """The highest speed of the run against the speed that is never passed, as read.

    Parameters
    ----------
    trace : Trace
        Its `rpm`, NaN where not measured. [rpm]
    limit : Against or None
        The type's limit of the static speed; `never_above` is the speed that is never passed, itself allowed. [rpm]

    Returns
    -------
    Finding or None
        None where the sheet names no such speed, or it was not passed.
    """
    if limit is None or limit.never_above is None:
        return None
    over = np.flatnonzero(trace.rpm > limit.never_above)
    if not over.size:
        return None
    return RunUpFinding(
        "rpm-stop",
        Severity.DANGER,
        f"The engine reached {np.nanmax(trace.rpm):.0f} rpm.",
        f"Never more than {limit.never_above:.0f} rpm (the type’s limit, {limit.authority}).",
        f"As read, ± {2.0 * limit.standard_uncertainty:.0f} rpm by the sheet.",
        "Stop. Do not run it again before crank, rod, flywheel, clutch and propeller are inspected by the "
        "maker’s manual.",
        float(trace.t_s[over[0]]),
        float(trace.t_s[over[-1]]),
    )

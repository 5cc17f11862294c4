"""What is looked at next when a figure of a run-up is off, and which figures are held against what.

Common practice, no source, unless a limit of the type sheet says better. No sentence here says to close a needle.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tickover.science.core.kinds import kinds_checked
from tickover.science.run_up.findings import RunUpFinding, Severity, spread, unit, written
from tickover.science.run_up.measuring.measures import Measure

__all__ = ["BASELINE_OF", "DO", "INSTEAD", "LIMIT_NAMES", "LIMIT_OF", "four_stroking_words", "rules_of_thumb"]

LIMIT_OF = {
    "idle-rpm": "idle-rpm",
    "static-rpm-20": "static-rpm",
    "static-rpm-60": "static-rpm",
    "cht-full": "cht",
    "egt-full": "egt",
    "thrust-reference": "static-thrust",
}
LIMIT_NAMES = {
    "idle-rpm": "idle", "static-rpm": "static rpm", "cht": "CHT", "egt": "EGT", "static-thrust": "thrust",
}  # fmt: skip
"""Every limit of a type that a run-up is judged by, as it is named in a sentence."""
BASELINE_OF = (
    "static-rpm-20", "static-rpm-60", "cht-reference", "egt-full", "thrust-reference", "idle-rpm", "drop-back",
    "opening", "idle-steadiness",
)  # fmt: skip
"""What matters most comes first: that is the one the answer tells."""
INSTEAD = {"cht-reference": "cht-full"}
"""What is held against the earlier runs where the air of the day was not noted."""

_FULL_LOW = (
    "Air filter, fuel filter, tank vent and pick-up first; then compression, exhaust, pump diaphragm. The same "
    "propeller at the same pitch? Only then the mixture, by the tuning card."
)
_FULL_HIGH = (
    "Check for an air leak and the propeller (size, pitch, slip of the drive). If it may be lean, open the high "
    "needle an eighth; never fly to see."
)
_HOT = (
    "Let it cool. Open the high needle an eighth, check for an air leak, fins and cowling; run it up again."
)
DO: dict[str, tuple[str, str]] = {
    "idle-rpm": (
        "Set the idle screw, warm. If it will not stay, check the metering lever and for an air leak.",
        "Lower it by the idle screw, warm, well under the clutch’s speed. If it hunts or comes down slowly, test for "
        "an air leak before a needle is touched.",
    ),
    "drop-back": (
        "",
        "Slow to come back: an air leak or a lean idle. Test the case for pressure and vacuum first.",
    ),
    "opening": (
        "",
        "Slow to open: low needle rich or lean, pump, reeds. See bog and flat spots, then the tuning card.",
    ),
    "static-rpm-20": (_FULL_LOW, _FULL_HIGH),
    "static-rpm-60": (_FULL_LOW, _FULL_HIGH),
    "idle-steadiness": (
        "",
        "It hunts: an air leak, fuel that swings (lever, diaphragm, vent) or a worn throttle shaft. Test the case for "
        "pressure and vacuum before a needle is touched.",
    ),
    "thrust-reference": (
        "Static rpm as usual and thrust low: the propeller (pitch, nicks, dirt, the right one?). Both low: the engine, "
        "as for low static rpm. Was there wind, and did it pull straight on the cell?",
        "Was the cell set to zero, and was there no wind from ahead or behind? Weigh a known mass on it.",
    ),
    "cht-full": ("Was it warm, and is the probe under the plug? Run it longer, then judge.", _HOT),
    "cht-reference": ("Is the probe under the plug, and was it warm?", _HOT),
    "egt-full": ("Is the probe where it always was? Compare with the same probe only.", _HOT),
}

DROP_BACK_S = 3.0
RISEN_RPM = 150.0
HUNTS_RPM = 100.0
CLIMB_SHARE = 0.01
"""Climb in a minute, as a share of the static speed, that is more than an engine does as it warms."""
BOG_PERCENT = 15.0
SAG_PERCENT = 2.0
CLEAN_PERCENT, RICH_PERCENT = 1.0, 40.0
_THUMB = "common practice, no source"


def rules_of_thumb(measure: Callable[[str], Measure]) -> Iterator[RunUpFinding]:
    """Findings on figures for which a type sheet has no limit."""
    yield from _hunts(measure("idle-steadiness"))
    yield from _drop_back(measure("drop-back"))
    yield from _risen(measure("idle-after-burst"))
    yield from _opening(measure("bog"), measure("flat-spots"))
    yield from _sag(measure("static-change"), measure("static-rpm-20"))
    yield from _four_stroking(measure("four-stroking"))
    if measure("static-rpm-20").value is None:
        yield _next(measure("static-rpm-20"), "Run it up again with a minute at full throttle.")


def _hunts(steadiness: Measure) -> Iterator[RunUpFinding]:
    if steadiness.value is not None:
        against = f"A warm idle scatters by less than {HUNTS_RPM:.0f} rpm, standard deviation ({_THUMB})."
        yield _by_upper(steadiness, HUNTS_RPM, against, DO["idle-steadiness"][1])


def _drop_back(drop: Measure) -> Iterator[RunUpFinding]:
    against = f"Under {DROP_BACK_S:g} s from three quarters throttle ({_THUMB})."
    do = "An air leak or a lean idle holds it up. Test the case for pressure and vacuum before a needle is touched."
    if drop.value is None:
        if drop.end_s > drop.start_s:
            yield RunUpFinding(
                drop.id, Severity.OUTSIDE, f"It does not come back to idle: {drop.why_not}.", against,
                "Seen on this run.", do, drop.start_s, drop.end_s, "high",
            )  # fmt: skip
        else:
            yield _next(drop, "Give it a short burst from a steady idle, and shut the throttle at once.")
        return
    yield _by_upper(drop, DROP_BACK_S, against, do)


def _risen(risen: Measure) -> Iterator[RunUpFinding]:
    if risen.value is None:
        return
    against = f"The idle after a burst is that before it, within {RISEN_RPM:.0f} rpm ({_THUMB})."
    yield _by_upper(
        risen,
        RISEN_RPM,
        against,
        "It creeps up after a burst: lean at idle, or drawing air. " + DO["drop-back"][1],
    )


def _opening(bog: Measure, flat: Measure) -> Iterator[RunUpFinding]:
    do = "Is it warm? Then low needle (open an eighth first), pump and its pulse, reeds: one at a time."
    if bog.value is not None:
        yield _by_upper(
            bog, BOG_PERCENT, f"At most {BOG_PERCENT:.0f} % below idle as it opens ({_THUMB}).", do
        )
    if flat.value is not None:
        yield _by_upper(flat, 0.5, f"At most half a second on the way up ({_THUMB}).", do)


def _sag(change: Measure, static: Measure) -> Iterator[RunUpFinding]:
    if change.value is None or static.value is None:
        return
    most = SAG_PERCENT / 100.0 * static.value
    against = f"At full throttle it may sag by {most:.0f} rpm in a minute ({SAG_PERCENT:g} %, {_THUMB})."
    way = "sags" if change.value < 0 else "climbs"
    seen = f"At full throttle the speed {way} by {abs(change.value):.0f} rpm in a minute."
    sure = f"± {spread(2.0 * change.standard_uncertainty)} rpm by the scatter of the run."
    where = (change.start_s, change.end_s)
    if change.value + 1.645 * change.standard_uncertainty < -most:
        do = "Fuel does not keep up, or it overheats: vent, filter, pick-up, then pump and pulse; watch the CHT."
        yield RunUpFinding(change.id, Severity.OUTSIDE, seen, against, sure, do, *where, "low")
    elif change.value - 1.645 * change.standard_uncertainty < -most:
        yield RunUpFinding(
            change.id,
            Severity.CANNOT_TELL,
            seen,
            against,
            sure,
            "Hold full throttle for a whole minute, once more.",
            *where,
            "low",
        )
    elif change.value < CLIMB_SHARE * static.value:
        yield RunUpFinding(
            change.id, Severity.GOOD, "At full throttle the speed holds.", against, sure, "", *where
        )
    elif change.value - 1.645 * change.standard_uncertainty <= CLIMB_SHARE * static.value:
        climb = f"It may climb by {CLIMB_SHARE * static.value:.0f} rpm in a minute (1 %, {_THUMB})."
        do = "It may be leaning out. Hold full throttle once more with an eye on the CHT, and shut it if it climbs."
        yield RunUpFinding(change.id, Severity.CANNOT_TELL, seen, climb, sure, do, *where, "high")


@kinds_checked
def four_stroking_words(share: Measure) -> str:
    """How much of the time at full throttle every second firing is weak, as a sentence."""
    if share.value == 0:
        return "No four-stroking at full throttle."
    return f"Four-stroking {written(share)} of the time at full throttle."


def _four_stroking(share: Measure) -> Iterator[RunUpFinding]:
    if share.value is None:
        yield _next(share, "Record the sound of a minute at full throttle.")
        return
    against = f"A beat of it now and then at full throttle on the ground ({_THUMB})."
    seen = four_stroking_words(share)
    sure = f"± {spread(2.0 * share.standard_uncertainty)} % by the length of the run."
    where = (share.start_s, share.end_s)
    if share.value < CLEAN_PERCENT:
        do = "None at all is suspect: open the high needle an eighth and run it up again."
        yield RunUpFinding(share.id, Severity.UNLIKE_ITSELF, seen, against, sure, do, *where, "low")
    elif share.value > RICH_PERCENT:
        do = "Rich. Check choke, lever height and a leaking needle valve first; then use the tuning card."
        yield RunUpFinding(share.id, Severity.UNLIKE_ITSELF, seen, against, sure, do, *where, "high")
    else:
        yield RunUpFinding(share.id, Severity.GOOD, seen, against, sure, "", *where)


def _by_upper(measure: Measure, upper: float, against: str, do: str) -> RunUpFinding:
    """A figure against the most it should be, by its own uncertainty."""
    assert measure.value is not None
    sure = f"± {spread(2.0 * measure.standard_uncertainty)} {unit(measure.unit)} by samples and scatter."
    seen = f"{measure.title}: {written(measure)}"
    where = (measure.start_s, measure.end_s)
    if measure.value - 1.645 * measure.standard_uncertainty > upper:
        return RunUpFinding(
            measure.id, Severity.OUTSIDE, f"{seen}, too much.", against, sure, do, *where, "high"
        )
    if measure.value + 1.645 * measure.standard_uncertainty > upper:
        return RunUpFinding(
            measure.id,
            Severity.CANNOT_TELL,
            f"{seen}, too close to its limit to say.",
            against,
            sure,
            "Measure it again.",
            *where,
            "high",
        )
    return RunUpFinding(measure.id, Severity.GOOD, f"{seen}.", against, sure, "", *where)


def _next(measure: Measure, do: str) -> RunUpFinding:
    return RunUpFinding(
        f"{measure.id}-next", Severity.MEASURE_NEXT, f"{measure.title}: not measured, {measure.why_not}.", "",
        "Not judged.", do,
    )  # fmt: skip

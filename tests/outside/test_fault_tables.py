"""The shipped fault tables against tables of causes, findings and tests that others typed.

They do not come with this repository: three files of comma-separated values, faults, fault_symptoms and
fault_tests; TICKOVER_FAULT_TABLES names their folder. It checks that nothing was lost or mistyped, not that the
grades are right about engines: they are guesses of experience there as here.
"""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from tickover.sheets import Build, FaultTable, TypeSheet, shipped_sheets

BESIDE = Path(__file__).parents[2].parent / "shared" / "trade"
FOLDER = Path(os.environ.get("TICKOVER_FAULT_TABLES", BESIDE))
REASON = "no fault tables here: name the folder of faults.csv in TICKOVER_FAULT_TABLES"
pytestmark = pytest.mark.skipif(not (FOLDER / "faults.csv").is_file(), reason=REASON)

GRADE = {"A": "almost_always", "O": "often", "S": "sometimes", "R": "rarely"}
CHANCES = {"almost_always": 0.9, "often": 0.6, "sometimes": 0.3, "rarely": 0.1}
FALSE = {"background": 0.02, "low": 0.03, "medium": 0.1, "high": 0.2}


def in_words(text: str) -> list[str]:
    return text.split()


# Our names, in the order of the rows there.
CAUSES = in_words("""
fuel-stale-or-wrong tank-vent-blocked fuel-line-draws-air fuel-filter-restricted primer-valve-leaks tank-leaks
metering-diaphragm-hard pump-diaphragm-hard inlet-needle-leaks lever-too-low lever-too-high inlet-screen-blocked
needles-too-lean needles-too-rich progression-holes-blocked throttle-shaft-worn wrong-piece-fitted
choke-or-filter-chokes pulse-passage-closed pulse-hose-soft intake-leak reed-damaged air-filter-loose
drive-seal-leaks ignition-seal-leaks case-joint-leaks plug-faulty plug-cap-or-lead ignition-fails-hot
stop-circuit-shorts pick-up-gap flywheel-slipped ring-worn piston-scored carbon head-blows cooling-blocked
main-bearing-worn rod-bearing-worn crank-out-of-true exhaust-joint-leaks exhaust-cracked exhaust-blocked belt-slack
clutch-worn gearbox-fails propeller-loose propeller-wrong mount-cracked throttle-cable-sticks
""")
FINDINGS = in_words("""
no-fire hard-start-cold hard-start-hot starts-then-dies kicks-back idle-races idle-slow-to-fall idle-loads-up no-idle
dies-on-opening bogs-wet four-strokes-half static-rpm-low static-rpm-high sags-at-full four-strokes-full
misfires-high cht-high egt-high pinks seizure-marks drips-at-rest fuel-smell bubbles-in-line oily-wet
shakes-at-propeller-rate buzzes-at-engine-rate propeller-turns-at-idle belt-or-clutch-slips cuts-out-restarts
cuts-out-for-good fades-in-flight plug-black plug-light-or-metal pulls-easily louder
""")
TESTS = in_words("""
fuel-walk fuel-sample known-fuel watch-for-bubbles open-tank-cap new-plug spark-gap stop-wire-off coil-cold-and-hot
timing flywheel-key compression case-pressure case-vacuum carburettor-hold pop-off-test lever-height-test
carburettor-strip pulse-test mist-round-joints reeds-look through-the-ports squish-test crank-play needle-response
static-run belt-note/gearbox-look clutch-look propeller-check mounts-and-welds throttle-cable vibration-lines
""")
# Where a second, experienced eye judged otherwise than these tables: common practice, no source. None: no grade.
GRADED_OTHERWISE: dict[str, dict[str, str | None]] = {
    # The plate of the case test leaves the flange out or presses the reeds shut; vacuum opens them.
    "intake-leak": {
        "case-pressure": "rarely",
        "case-vacuum": "often",
        "cuts-out-for-good": "rarely",
        "no-idle": "sometimes",
        "starts-then-dies": "sometimes",
    },
    # The nipple of the pulse hose is capped for the case test, the hose is not in it.
    "pulse-hose-soft": {"case-pressure": None},
    # A wrong gap weakens the spark; it hardly moves the timing, and a feeler finds it.
    "pick-up-gap": {"timing": "rarely"},
    "stop-circuit-shorts": {"spark-gap": "often"},
    "flywheel-slipped": {
        "cuts-out-for-good": "sometimes",
        "egt-high": "sometimes",
        "hard-start-hot": "sometimes",
        "misfires-high": "sometimes",
    },
    "needles-too-lean": {"cuts-out-for-good": "rarely"},
    # Its joints to the case draw air; the head gasket has a cause of its own.
    "case-joint-leaks": {
        "pulls-easily": None,
        "compression": None,
        "dies-on-opening": "sometimes",
        "egt-high": "sometimes",
        "plug-light-or-metal": "sometimes",
        "mist-round-joints": "sometimes",
    },
    # Oil that is wanting has a cause of its own now.
    "fuel-stale-or-wrong": {"seizure-marks": None},
    "drive-seal-leaks": {"plug-black": "sometimes"},
}
FIX_MIN_OTHERWISE = {"mount-cracked": 90.0}
"""The programme's own task says so."""
ONLY_ON = {
    "pulse-passage-closed": "internal-pulse",
    "pulse-hose-soft": "external-pulse",
    "belt-slack": "belt",
    "gearbox-fails": "gear",
}
BUILDS = [(name, build.id) for name, sheet in shipped_sheets().items() for build in sheet.builds]


def rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def table(sheet: TypeSheet, build_id: str) -> FaultTable:
    faults = sheet.for_build(build_id).faults
    assert faults is not None
    return faults


def on(build: Build, cause: str) -> bool:
    return cause not in ONLY_ON or ONLY_ON[cause] in (build.id, *build.traits)


def graded(cause: str, row: dict[str, str], shown: set[str]) -> dict[str, str]:
    """Grade of everything this cause shows in, by our names, as far as the build has it."""
    marks = list(row.values())[4 : 4 + len(FINDINGS) + len(TESTS)]
    named = [(name, mark) for name, mark in zip([*FINDINGS, *TESTS], marks, strict=True) if mark]
    found: dict[str, str | None] = {one: GRADE[mark] for name, mark in named for one in name.split("/")}
    found |= GRADED_OTHERWISE.get(cause, {})
    return {one: grade for one, grade in found.items() if grade and one in shown}


@pytest.mark.parametrize(("type_id", "build_id"), BUILDS)
def test_every_cause_of_a_build_is_there_with_its_weight_its_minutes_and_its_grades(
    type_id: str, build_id: str
) -> None:
    sheet = shipped_sheets()[type_id]
    build = next(build for build in sheet.builds if build.id == build_id)
    ours = {cause.id: cause for cause in table(sheet, build_id).causes}
    shown = {row.id for row in table(sheet, build_id).shown}
    theirs = rows("faults")
    assert len(theirs) == len(CAUSES) == 50
    for name, row in zip(CAUSES, theirs, strict=True):
        assert (name in ours) == on(build, name)
        if name not in ours:
            continue
        cause = ours[name]
        minutes = FIX_MIN_OTHERWISE.get(name, float(row["fix_minutes"]))
        assert (cause.weight, cause.minutes) == (float(row["prior_weight"]), minutes), name
        grades = {one: grade for grade in CHANCES for one in cause.shows(grade)}  # type: ignore[arg-type]
        common = {one: grade for one, grade in grades.items() if one in _THEIRS}
        assert common == graded(name, row, shown), name


@pytest.mark.parametrize(("type_id", "build_id"), BUILDS)
def test_every_finding_and_test_of_a_build_is_there(type_id: str, build_id: str) -> None:
    faults = table(shipped_sheets()[type_id], build_id)
    assert len(rows("fault_symptoms")) == len(FINDINGS) == 36
    assert {row.id for row in faults.findings} >= set(FINDINGS)
    tests = {test.id: test for test in faults.tests}
    for name, row in zip(TESTS, rows("fault_tests"), strict=True):
        here = [tests[one] for one in name.split("/") if one in tests]
        assert here, name
        for test in here:
            assert (test.minutes, test.false_findings) == (float(row["minutes"]), row["false_positive_grade"])


@pytest.mark.parametrize(("type_id", "build_id"), BUILDS)
def test_grades_are_the_same_chances(type_id: str, build_id: str) -> None:
    faults = table(shipped_sheets()[type_id], build_id)
    assert faults.grades.model_dump() == CHANCES
    assert faults.false_findings.model_dump() == FALSE


_THEIRS = {one for name in (*FINDINGS, *TESTS) for one in name.split("/")}

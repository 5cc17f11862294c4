"""What the run-ups of a job have against its release, rule by rule, on runs made up here."""

from __future__ import annotations

from datetime import UTC, date, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from tickover.formats.errors import FormatError
from tickover.science.run_up import RunUpFinding, Severity
from tickover.workshop.run_ups import of_visit, release_check
from tickover.workshop.run_ups.of_visit import JobRuns, JudgedRunUp
from tickover.workshop.visits.releasing.release_checks import ReleaseWords

DAY = date(2026, 5, 4)


def finding(id: str, weight: Severity = Severity.DANGER) -> RunUpFinding:
    return RunUpFinding(id, weight, f"Seen {id}.", "Never more than 8800 rpm.", "", "Do it.")


def run(entry: int = 1, before_or_after: str = "after") -> Any:
    return SimpleNamespace(
        entry_sequence=entry,
        before_or_after=before_or_after,
        on_day=DAY,
        at=datetime(2026, 5, 4, 9, 0, tzinfo=UTC),
        by="Tess",
        by_id=7,
        evidence=SimpleNamespace(sha256="00ff"),
    )


def judged(
    weight: Severity | None, entry: int = 1, before_or_after: str = "after", *dangers: RunUpFinding
) -> JudgedRunUp:
    return JudgedRunUp(run(entry, before_or_after), "Answer.", weight, "Do.", dangers)


DANGER = judged(Severity.DANGER, 3, "after", finding("climb"))
GOOD, BEFORE = judged(Severity.GOOD, 4), judged(Severity.DANGER, 2, "before", finding("climb"))
TASK: Any = SimpleNamespace(title="Reed block", system="induction", kind="replace", access=("reeds",))


@pytest.mark.parametrize(
    ("weight", "facts"),
    [
        (None, (True, False, False)),
        (Severity.DANGER, (False, True, True)),
        (Severity.OUTSIDE, (False, False, True)),
        (Severity.CANNOT_TELL, (False, False, False)),
        (Severity.GOOD, (False, False, False)),
    ],
)
def test_what_a_verdict_is(weight: Severity | None, facts: tuple[bool, ...]) -> None:
    told = judged(weight)
    assert (told.unread, told.danger, told.off) == facts


def test_only_what_is_never_passed_is_an_exceedance() -> None:
    told = judged(Severity.DANGER, 5, "after", finding("climb"), finding("cht-stop"))
    assert [f.id for f in told.beyond] == ["cht-stop"]
    (found,) = of_visit.exceedances([told])
    assert found.spot == ("run/5", "cht-stop") and found.doers == {7} and found.entries == (5,)
    assert found.title == "Run-up after the work, 4 May 2026"
    nowhere = judged(Severity.DANGER, 5, "", finding("rpm-stop"))
    assert of_visit.exceedances([nowhere])[0].title == "Run-up of the visit, 4 May 2026"
    assert of_visit.exceedances([DANGER]) == ()


def test_the_newest_run_tells_how_the_engine_leaves() -> None:
    before = (BEFORE, judged(Severity.GOOD, 5, "before"), judged(Severity.GOOD, 6, "before"))
    runs = JobRuns(before, (DANGER, GOOD, judged(Severity.GOOD, 8)), ())
    assert runs.last is runs.after[-1] and runs.danger is None
    assert runs.pair is not None and [run.run.entry_sequence for run in runs.pair] == [6, 8]
    assert JobRuns((BEFORE,), (), ()).pair is None and JobRuns((), (GOOD,), ()).pair is None
    assert JobRuns((), (), ()).last is None


def test_a_danger_counts_until_a_run_after_it_is_good() -> None:
    assert JobRuns((), (GOOD, GOOD, DANGER), ()).danger is DANGER
    assert JobRuns((BEFORE,), (), ()).danger is BEFORE
    good = judged(Severity.GOOD, 1, "before")
    assert JobRuns((good, good, BEFORE), (), ()).danger is BEFORE
    assert JobRuns((BEFORE, good, good), (), ()).danger is None
    assert JobRuns((BEFORE,), (GOOD,), ()).danger is None
    assert JobRuns((), (), ()).danger is None
    assert JobRuns((), (judged(Severity.OUTSIDE),), ()).danger is None


def test_a_danger_that_is_an_exceedance_alone_is_answered_there() -> None:
    alone = judged(Severity.DANGER, 3, "after", finding("cht-stop"))
    both = judged(Severity.DANGER, 3, "after", finding("cht-stop"), finding("climb"))
    assert JobRuns((), (alone,), ()).danger_to_speak_to is None
    assert JobRuns((), (both,), ()).danger_to_speak_to is both
    assert JobRuns((), (DANGER,), ()).danger_to_speak_to is DANGER
    assert JobRuns((), (GOOD,), ()).danger_to_speak_to is None


def test_what_whoever_releases_has_to_know() -> None:
    after = "The run-up after the work (journal entry 3)"
    assert JobRuns((), (DANGER,), (TASK,)).warnings == (f"{after} found a danger. Answer. Do.",)
    outside, unread = judged(Severity.OUTSIDE, 3), judged(None, 3)
    assert JobRuns((), (outside,), ()).warnings == (f"{after} is outside a limit. Answer.",)
    assert JobRuns((), (unread,), ()).warnings[0].startswith(f"{after} cannot be read any more")
    assert JobRuns((BEFORE,), (GOOD,), (TASK,)).warnings == ()


def test_a_run_that_is_missing_is_named() -> None:
    assert JobRuns((), (), ()).warnings == ()
    one = "“Reed block” changes how the engine runs: no run-up since the work."
    two = "“Reed block” and “Reed block” change how the engine runs: no run-up since the work."
    assert JobRuns((), (), (TASK,)).warnings == (one,)
    assert JobRuns((), (), (TASK, TASK)).warnings == (two,)
    left, missing = JobRuns((BEFORE,), (), (TASK,)).warnings
    assert left == (
        "The run-up before the work (journal entry 2) found a danger, and there is none after it. Answer. Do."
    )
    assert missing == one


def opening(id: str, minutes: float, *requires: str) -> Any:
    return SimpleNamespace(id=id, title=id, minutes=minutes, requires=requires)


def task(system: str, kind: str, *access: str) -> Any:
    return SimpleNamespace(system=system, kind=kind, access=access)


ACCESS = (
    opening("outside", 0.0),
    opening("carburettor-off", 10.0),
    opening("reeds", 1.0, "carburettor-off"),
    opening("plug-out", 0.5),
    opening("drive-cover-off", 5.0),
)
SHEET: Any = SimpleNamespace(access=ACCESS, programme=(task("carburettor", "service", "carburettor-off"),))


@pytest.mark.parametrize(
    ("work", "changes"),
    [
        (task("induction", "inspect", "reeds"), True),  # the carburettor comes off for it
        (task("airframe", "inspect", "carburettor-off"), True),
        (task("top end", "replace", "plug-out"), True),
        (task("top end", "inspect", "plug-out"), False),
        (task("top end", "replace", "outside"), False),
        (task("top end", "replace"), False),
        (task("drive", "replace", "drive-cover-off"), False),
        (task("drive", "inspect", "drive-cover-off"), False),
    ],
)
def test_which_work_changes_how_an_engine_runs(work: Any, changes: bool) -> None:
    assert of_visit.changes_the_running(work, SHEET) is changes


def test_runs_are_before_or_after_the_work() -> None:
    loose = judged(Severity.GOOD, 9, "")
    sorted_runs = of_visit.before_and_after((BEFORE, GOOD, loose), (task("drive", "replace"),), SHEET)
    assert (sorted_runs.before, sorted_runs.after, sorted_runs.changed) == ((BEFORE,), (GOOD,), ())
    assert of_visit.entries([run(5), run(2)]) == [2, 5]


def test_a_run_is_judged_by_its_worst_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    found = (finding("climb"), finding("odd", Severity.OUTSIDE), finding("good", Severity.GOOD))
    opened = SimpleNamespace(findings=found, answer="Stop.")
    monkeypatch.setattr(of_visit.queries, "all_of_job", lambda job: [run()])
    monkeypatch.setattr(of_visit.queries, "opened", lambda of: opened)
    (told,) = of_visit.judged_run_ups(SimpleNamespace())  # type: ignore[arg-type]
    assert told.weight is Severity.DANGER and [f.id for f in told.dangers] == ["climb"]
    assert told.facts() == {
        "entry": 1,
        "moment": "after",
        "day": "2026-05-04",
        "sha256": "00ff",
        "answer": "Stop.",
        "danger": True,
    }


@pytest.mark.parametrize("error", [OSError("gone"), FormatError("damaged")])
def test_a_file_that_is_gone_is_not_read(error: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(of: Any) -> Any:
        raise error

    monkeypatch.setattr(of_visit.queries, "all_of_job", lambda job: [run()])
    monkeypatch.setattr(of_visit.queries, "opened", gone)
    assert of_visit.judged_run_ups(SimpleNamespace())[0].unread  # type: ignore[arg-type]


# Against the release


@pytest.mark.parametrize(
    ("kept", "prepared", "despite", "says"),
    [
        ([3], (DANGER,), "", "Fix it and run up again, or write why"),
        ([3], (DANGER,), "  ", "Fix it and run up again, or write why"),
        ([3], (DANGER,), "Sensor broken.", ""),
        ([4], (GOOD,), "", ""),
        ([], (), "", ""),
        ([3, 5], (DANGER,), "Sensor broken.", "added meanwhile"),
        ([], (GOOD,), "", "added meanwhile"),
    ],
)
def test_a_danger_is_spoken_to_and_no_run_comes_in_meanwhile(
    kept: list[int], prepared: Any, despite: str, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(release_check.queries, "all_of_job", lambda job: [run(n) for n in kept])
    visit: Any = SimpleNamespace(job=None, tasks=(), sheet=SHEET)
    found = release_check.RunUpCheck().check(visit, prepared, ReleaseWords(despite=despite), DAY)
    if says:
        assert len(found.against) == 1 and says in found.against[0] and not found.columns
    else:
        assert found.against == () and found.columns["run_ups"]["despite"] == despite
        assert len(found.columns["run_ups"]["runs"]) == len(prepared)

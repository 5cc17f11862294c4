"""Two people, two processes, one moment: one is first, the other is told so."""

from __future__ import annotations

from typing import Any

RELEASE = """
on_the_word()
job = Job.objects.get()
try:
    print("released", visit_actions.release(job, visit_actions.ReleaseWords(), who=person(sys.argv[1]), at=NOW).number)
except visit_actions.VisitError as error:
    print("refused", error)
"""
CLOSE = """
on_the_word()
try:
    visit_actions.close_without_release(Job.objects.get(), "not wanted", who=person(sys.argv[1]), at=NOW)
    print("closed")
except visit_actions.VisitError as error:
    print("refused", error)
"""
OPEN = """
on_the_word()
try:
    visit_actions.open_job(Engine.objects.get(), "plug-renewal", who=person(sys.argv[1]), at=NOW)
    print("opened")
except visit_actions.VisitError as error:
    print("refused", error)
"""
DROP = """
on_the_word()
engine, who, data = Engine.objects.get(), person(sys.argv[1]), flight(int(sys.argv[2]))
try:
    time_actions.add_track_log(engine, data, "f.igc", who=who, at=NOW)
    print("added")
except register.RegisterError as error:
    print("refused", error)
"""
DROP_MANY = """
on_the_word()
engine, who = Engine.objects.get(), person(sys.argv[1])
for n in range(8):
    start = NOW - timedelta(days=30 + 2 * n + int(sys.argv[2]))
    time_actions.add_track_log(engine, flight(int(sys.argv[2]) * 100 + n, start), "f.igc", who=who, at=NOW)
print("added")
"""
COUNTS = """
import json
from tickover.workshop.visits.models import Closure, Release
from tickover.workshop.programme.models import TaskDone
from tickover.workshop.audit.verify import verify
counted = {"releases": Release, "done": TaskDone, "jobs": Job, "closures": Closure, "logs": EngineTimeEntry}
print(json.dumps({"faults": verify().faults, **{k: m.objects.count() for k, m in counted.items()}}))
"""


def sorted_words(said: list[str]) -> list[str]:
    return sorted(line.split()[0] for line in said)


def test_two_who_release_one_job(folder: Any) -> None:
    said = folder.at_once(RELEASE, ("ada",), ("bo",))
    assert sorted_words(said) == ["refused", "released"], said
    refusal = next(line for line in said if line.startswith("refused"))
    assert "Visit 2025-0001 was released by" in refusal and "Nothing was changed" in refusal
    counts = folder.ask(COUNTS)
    assert (counts["releases"], counts["done"], counts["faults"]) == (1, 1, [])


def test_two_who_close_one_job(folder: Any) -> None:
    said = folder.at_once(CLOSE, ("ada",), ("bo",))
    assert sorted_words(said) == ["closed", "refused"], said
    counts = folder.ask(COUNTS)
    assert (counts["closures"], counts["faults"]) == (1, [])


def test_two_who_open_the_same_job(folder: Any) -> None:
    said = folder.at_once(OPEN, ("ada",), ("bo",))
    assert sorted_words(said) == ["opened", "refused"], said
    assert folder.ask(COUNTS)["jobs"] == 2


def test_two_who_drop_the_same_track_log(folder: Any) -> None:
    said = folder.at_once(DROP, ("ada", "7"), ("bo", "7"))
    assert sorted_words(said) == ["added", "refused"], said
    assert any("This very file was added already" in line for line in said)
    counts = folder.ask(COUNTS)
    assert (counts["logs"], counts["faults"]) == (2, [])


def test_two_who_drop_logs_of_the_same_minutes(folder: Any) -> None:
    said = folder.at_once(DROP, ("ada", "8"), ("bo", "9"))
    assert sorted_words(said) == ["added", "refused"], said
    assert any("never counted twice" in line for line in said)
    assert folder.ask(COUNTS)["logs"] == 2


def test_several_who_write_at_the_same_time_lose_nothing(folder: Any) -> None:
    said = folder.at_once(DROP_MANY, ("ada", "0"), ("bo", "1"))
    assert sorted_words(said) == ["added", "added"], said
    counts = folder.ask(COUNTS)
    assert (counts["logs"], counts["faults"]) == (1 + 16, [])

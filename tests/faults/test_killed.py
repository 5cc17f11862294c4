"""Killed in the middle of the work: what was entered stands, and nothing stands half."""

from __future__ import annotations

import time
from typing import Any

import pytest

ADD_WITHOUT_END = """
on_the_word()
engine, who, n = Engine.objects.get(), person("ada"), 0
while True:
    n += 1
    time_actions.add_track_log(engine, flight(n, NOW - timedelta(days=9 + n)), f"{n}.igc", who=who, at=NOW)
    print(n, flush=True)
"""
LEFT = """
import json
from tickover.workshop.audit.verify import verify
from tickover.workshop.register.models import EvidenceFile
out = verify()
print(json.dumps({"faults": out.faults, "files": out.files, "logs": EngineTimeEntry.objects.count(),
    "evidence": EvidenceFile.objects.count()}))
"""
ONCE_MORE = """
assert EngineTimeEntry.objects.count() == 1
time_actions.add_track_log(Engine.objects.get(), flight(50), "f.igc", who=person("ada"), at=NOW)
"""
LEAVE_HALF = """
import os
from tickover.workshop.kernel import evidence_files as files
def die(*_, **__):
    os.kill(os.getpid(), 9)
if sys.argv[1] == "in the file":
    os.fsync = die
elif sys.argv[1] == "before the rows":
    time_actions.evidence_row = die
else:
    time_actions._enter_track_log = die
time_actions.add_track_log(Engine.objects.get(), flight(50), "f.igc", who=person("ada"), at=NOW)
"""


@pytest.mark.parametrize("after_s", [0.05, 0.31])
def test_killed_while_adding_track_logs(folder: Any, after_s: float) -> None:
    process = folder.start(ADD_WITHOUT_END)
    assert process.stdout.readline() == "ready\n"
    process.stdin.write("go\n")
    process.stdin.flush()
    process.stdout.readline()  # the first one is in
    time.sleep(after_s)
    process.kill()
    said, _ = process.communicate()
    told = 1 + len([line for line in said.splitlines() if line.strip()])
    left = folder.ask(LEFT)
    assert left["faults"] == []
    assert left["logs"] == left["evidence"] == left["files"]
    # All that was told to be in is in; the last may be in without having been told.
    assert left["logs"] - 1 in (told, told + 1)
    verified = folder.tickover("verify")
    assert verified.returncode == 0 and f"{left['files']} evidence files" in verified.stdout


@pytest.mark.parametrize("moment", ["in the file", "before the rows", "before the entry"])
def test_killed_at_the_worst_moment(folder: Any, moment: str) -> None:
    process = folder.start(LEAVE_HALF, moment)
    process.communicate(timeout=60)
    assert process.returncode == -9
    left = folder.ask(ONCE_MORE + LEFT)
    assert (left["faults"], left["logs"], left["evidence"]) == ([], 2, 2)

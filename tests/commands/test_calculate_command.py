"""The sums on the command line: the list, an answer, data, and one line where it refuses."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tickover.cli import main
from tickover.workshop.calculations.catalogue import SUMS


def test_without_a_name_every_sum_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calculate"]) == 0
    assert re.findall(r"^  ([a-z-]+) ", capsys.readouterr().out, re.M) == list(SUMS)
    assert main(["calculate", "--json"]) == 0
    assert list(json.loads(capsys.readouterr().out)) == list(SUMS)


@pytest.mark.parametrize("sum_id", SUMS)
def test_each_sum_answers_in_words_and_as_data(sum_id: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calculate", sum_id]) == 0
    out = capsys.readouterr().out
    assert "\nby " in out
    assert main(["calculate", sum_id, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["sum"] == sum_id and all(sentence in out for sentence in data["answer"])


def test_a_unit_may_stand_behind_the_number(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(["calculate", "oil-mix", "petrol=1 US gal", "petrol.give-or-take=0", "ratio=50", "--json"]) == 0
    )
    # 1 US gallon is 3.785412 l (NIST SP 811): a fiftieth is 75.7 ml.
    assert json.loads(capsys.readouterr().out)["results"][0]["value"] == pytest.approx(75.708, abs=0.001)


def test_cautions_come_before_the_answer(capsys: pytest.CaptureFixture[str]) -> None:
    main(["calculate", "static-thrust"])
    assert capsys.readouterr().out.startswith("CAUTION A turning propeller kills.")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["nothing"], "There is no calculation called nothing"),
        (["oil-mix", "petrol"], "'petrol' is not understood"),
        (["oil-mix", "water=3"], "Write name=value with one of: petrol, ratio."),
        (["oil-mix", "ratio=two"], "is not a number"),
        (["air-density", "temperature=298"], "Did you mean 298 K (24.85 °C)?"),
        (["oil-mix", "petrol=1,250"], "can mean 1250 or 1.250. Type one of the two."),
    ],
)
def test_a_refusal_is_one_line_and_exit_1(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["calculate", *arguments]) == 1
    out, err = capsys.readouterr()
    assert out == "" and says in err and err.count("\n") == 1


def test_it_needs_no_workshop_and_makes_none(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tickover", "calculate", "oil-mix"],
        env={**os.environ, "TICKOVER_DATA": str(tmp_path)},
        cwd=tmp_path,
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0 and list(tmp_path.iterdir()) == []


def test_the_command_of_the_first_version_still_works(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sum"]) == 0
    old = capsys.readouterr().out
    assert main(["calculate"]) == 0 and capsys.readouterr().out == old

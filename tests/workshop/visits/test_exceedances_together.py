"""Exceedances of one place go together, each case with the answer that names its entry; and what checks add."""

from __future__ import annotations

from datetime import UTC, date, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from tickover.workshop.visits.models import ExceedanceAnswer, Reading
from tickover.workshop.visits.releasing import release_checks
from tickover.workshop.visits.releasing.release_checks import Found, ReleaseWords
from tickover.workshop.visits.steps.exceedances import (
    Case,
    Exceedance,
    Spot,
    answer_in_words,
    grouped,
    of_steps,
)
from tickover.workshop.visits.steps.never import Never

AT = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
FLANGE, NUTS = Spot("flange", "flange-torque"), Spot("nuts", "nut-torque")


def case(entry: int, spot: Spot = FLANGE, doer: int = 1) -> Case:
    return Case(
        spot,
        f"Title {entry}",
        f"said {entry}",
        entry,
        AT.replace(hour=entry),
        frozenset({doer}),
        (f"part {entry}",),
    )


def answer(*entries: int, pk: int = 1, spot: Spot = FLANGE, **keys: Any) -> Any:
    """An answer as it is kept: a decision in words, unless said otherwise."""
    facts = {
        "kind": ExceedanceAnswer.Kind.DECIDED,
        "words": "Flat.",
        "second_look": False,
        "part": "",
        "lot": "",
    }
    facts |= {"pk": pk, "place": spot.place, "what": spot.what, "entries": entries, "by": "Ingo", "at": AT}
    return SimpleNamespace(**(facts | keys))


def test_cases_of_one_place_are_one_and_a_later_one_is_open_again() -> None:
    first = answer(1, 2)
    found = grouped([case(1), case(2), case(3), case(1, NUTS)], [first])
    assert [(e.spot, e.entries, e.answer) for e in found] == [
        (FLANGE, (1, 2), first),
        (FLANGE, (3,), None),
        (NUTS, (1,), None),
    ]
    assert grouped([], [first]) == ()


def test_two_answers_of_one_place_stay_two() -> None:
    one, two = answer(1), answer(2, pk=2)
    assert [(e.entries, e.answer) for e in grouped([case(1), case(2)], [one, two])] == [
        ((1,), one),
        ((2,), two),
    ]


def test_it_is_named_after_its_first_case_and_has_the_doers_of_all() -> None:
    found = Exceedance((case(3), case(1, NUTS, doer=2)))
    assert found.spot == FLANGE and found.title == "Title 3" and found.parts == ("part 3",)
    assert found.last_at == AT.replace(hour=3) and found.doers == {1, 2}
    assert found.said == "Title 3: said 3; then said 1." and found.answered == ""
    assert Exceedance(found.cases, answer(1)).answered == "Decision of Ingo, 4 May 2026: Flat."
    assert not FLANGE.of_run and Spot("run/5", "cht-stop").of_run


def test_an_answer_in_words() -> None:
    renewed = answer(kind=ExceedanceAnswer.Kind.RENEWED, part="Flange", lot="L7")
    assert answer_in_words(renewed) == "Part renewed: Flange, lot L7, by Ingo, 4 May 2026."
    renewed.lot = ""
    assert answer_in_words(renewed) == "Part renewed: Flange, by Ingo, 4 May 2026."
    alone = answer_in_words(answer(second_look=True))
    assert alone == (
        "Decision of Ingo, who did the work and works alone, at a second look, 4 May 2026: Flat."
    )


def reading(value: float, **keys: Any) -> Any:
    facts = {
        "value": value,
        "by": "Tess",
        "by_id": 5,
        "at": AT,
        "entry_sequence": 8,
        "torque_set": False,
        "purpose": Reading.Purpose.STEP,
        "standard_uncertainty": None,
    }
    limit = SimpleNamespace(
        id="flange-torque", title="Flange", unit="N.m", resolution=0.1, computed="", conditions=()
    )
    return SimpleNamespace(
        reading=SimpleNamespace(**(facts | keys)),
        limit=limit,
        site=SimpleNamespace(limit=limit),
        amounts={"typed": value},
    )


def line(*readings: Any, **keys: Any) -> Any:
    facts = {
        "step": SimpleNamespace(id="flange"),
        "number": 4,
        "limit": readings[0].limit if readings else None,
        "never": Never(None, 10.0, "N.m"),
        "mark": SimpleNamespace(by_id=6),
        "fitted": ("Flange",),
        "readings": readings,
        "reading": None,
    }
    return SimpleNamespace(**(facts | keys))


@pytest.mark.parametrize(("value", "cases"), [(10.0, 0), (10.1, 1)])
def test_a_reading_beyond_is_a_case_and_the_figure_itself_none(value: float, cases: int) -> None:
    assert len(of_steps([line(reading(value))], [])) == cases


def test_a_case_names_step_limit_doers_and_parts() -> None:
    (found,) = of_steps([line(reading(12.0))], [])
    assert found.spot == FLANGE and found.doers == {5, 6} and found.parts == ("Flange",)
    assert found.said == (
        "Step 4, Flange: 12.0 N.m read (never more than 10 N.m; by Tess, 4 May 2026, journal entry 8)."
    )
    (unmarked,) = of_steps([line(reading(12.0), mark=None)], [])
    assert unmarked.doers == {5}


def test_where_nothing_is_never_passed_there_is_none() -> None:
    assert of_steps([line(reading(12.0), never=Never())], []) == ()
    assert of_steps([line()], []) == ()
    assert of_steps([line(reading(12.0), limit=None)], []) == ()


def test_the_second_person_did_not_do_it() -> None:
    second = reading(12.0, purpose=Reading.Purpose.SECOND_CHECK)
    (found,) = of_steps([line(second)], [])
    assert found.doers == {6} and "12.0 N.m read at the second check (" in found.said


@pytest.mark.parametrize(
    ("value", "u", "doubt"),
    [(10.4, 0.2, True), (10.41, 0.2, False), (10.39, 0.2, True), (10.46, 0.25, True), (10.1, None, False)],
)
def test_the_doubt_of_the_gauge_is_said_up_to_twice_its_standard_uncertainty(
    value: float, u: float | None, doubt: bool
) -> None:
    (found,) = of_steps([line(reading(value, standard_uncertainty=u))], [])
    assert ("it may have been inside" in found.said) is doubt


def test_a_torque_that_was_set_leaves_no_doubt() -> None:
    (found,) = of_steps([line(reading(10.1, standard_uncertainty=0.2, torque_set=True))], [])
    assert "10.1 N.m set (" in found.said and "may have been" not in found.said


# What others have against a release


class Check:
    """Makes its name ready and says it again."""

    def __init__(self, name: str) -> None:
        self.name, self.asked = name, 0

    def prepare(self, job: Any) -> str:
        self.asked += 1
        return f"ready {self.name}"

    def check(self, sheet: Any, prepared: str, words: ReleaseWords, today: date) -> Found:
        return Found((f"{prepared}, {words.despite}, {today}",))

    def exceedances(self, prepared: str, answers: Any) -> tuple[Any, ...]:
        return (f"of {prepared}", *answers)


def test_every_check_is_asked_with_what_it_made_ready(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(release_checks, "_checks", {})
    checks = Check("a"), Check("b")
    for each in checks:
        release_checks.register(each.name, each)
    ready = release_checks.prepare(SimpleNamespace())  # type: ignore[arg-type]
    sheet: Any = SimpleNamespace(exceedances=("of a step",), answers=("answer",))
    found = list(ready.found(sheet, ReleaseWords(despite="why"), date(2026, 5, 4)))
    assert [f.against for f in found] == [("ready a, why, 2026-05-04",), ("ready b, why, 2026-05-04",)]
    assert ready.exceedances(sheet) == ("of a step", "of ready a", "answer", "of ready b", "answer")
    assert [each.asked for each in checks] == [1, 1]

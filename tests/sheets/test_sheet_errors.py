"""Each thing that can be wrong with one row of a sheet is told with file, table, key, line and a way out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tickover.sheets import SheetError, load_sheet, shipped_texts

Complaint = Callable[..., str]

A_LIMIT = 'id = "lever-height"\ntitle = "Metering'
A_STEP = 'id = "lever-height"\nact'
THE_TASK = 'id = "diaphragm-service"\ntitle = "Carburettor diaphragm service"\nsystem'

CASES = {
    "limits the wrong way round": (
        A_LIMIT,
        "upper = 1.6",
        "upper = 1.1",
        "limits.lever-height.upper: the upper value 1.1 is below the lower, 1.2; are they swapped?",
    ),
    "a nominal value nobody may reach": (
        A_LIMIT,
        "nominal = 1.4",
        "nominal = 1.9",
        "limits.lever-height.upper: the nominal value 1.9 is outside 1.2 to 1.6",
    ),
    "limits beyond what is plausible": (
        A_LIMIT,
        "plausible_upper = 4.0",
        "plausible_upper = 1.5",
        "limits.lever-height.plausible_upper: the upper value 1.6 is not within 0 to 1.5",
    ),
    "a limit without limits": (
        A_LIMIT,
        "lower = 1.2\nupper = 1.6\n",
        "",
        "limits.lever-height.upper: a limit needs a lower or an upper value, or both",
    ),
    "a number in quotes": (
        A_LIMIT,
        "upper = 1.6",
        'upper = "1.6"',
        'limits.lever-height.upper: must be a number, not "1.6"',
    ),
    "infinity": (A_LIMIT, "upper = 1.6", "upper = inf", "limits.lever-height.upper: must be a finite number"),
    "a key nobody knows": (
        A_LIMIT,
        "resolution =",
        "resolutoin =",
        'limits.lever-height.resolutoin: is not a key of this table; did you mean "resolution"?',
    ),
    "a key left out": (
        A_LIMIT,
        'unit = "mm"\n',
        "",
        "limits.lever-height.unit: is missing; write it into this table",
    ),
    "an authority nobody knows": (
        A_LIMIT,
        'authority = "common practice, no source"',
        'authority = "gospel"',
        'limits.lever-height.authority: must be "maker", "rule", "common practice, no source"',
    ),
    "an id with capitals": (
        A_LIMIT,
        'id = "lever-height"',
        'id = "Lever Height"',
        "limits[1].id: must be small letters, digits and single hyphens",
    ),
    "an act of two sentences": (
        A_STEP,
        'act = "Measure the lever',
        'act = "Stop. Measure the lever',
        "cards.diaphragm-service.steps[25].act: must be one short sentence",
    ),
    "a piece laid aside without a reason": (
        'laid_aside_because = "For another carburettor: its button',
        'laid_aside_because = "For another carburettor: its button does not enter a forked lever."',
        "",
        "kits.diaphragm-kit.pieces[2].laid_aside_because: this piece is not used on some build; say why",
    ),
    "more torque than the joint may have": (
        'id = "intake-flange"\ntitle = "Inlet flange and insulator"',
        "torque_nm = 10.0",
        "torque_nm = 12.0",
        "joints.intake-flange.fasteners.torque_max_nm: torque_nm 12 is over the greatest torque allowed, 10",
    ),
    "a spread of one reading": (
        A_LIMIT,
        'rule = "guarded"',
        'rule = "guarded"\nspread_max = 0.1',
        "limits.lever-height.spread_max: one reading has no spread; say repeats = 3",
    ),
    "never more than less than the limit": (
        A_LIMIT,
        'rule = "guarded"',
        'rule = "guarded"\nnever_above = 1.59',
        "limits.lever-height.never_above: never_above 1.59 is below 1.6, which the limit allows",
    ),
    "never less than more than the limit": (
        A_LIMIT,
        'rule = "guarded"',
        'rule = "guarded"\nnever_below = 1.21',
        "limits.lever-height.never_below: never_below 1.21 is above 1.2, which the limit allows",
    ),
    "an instrument nobody knows": (
        A_LIMIT,
        'instrument_kind = "depth-gauge"',
        'instrument_kind = "telescope"',
        'limits.lever-height.instrument_kind: must be "depth-gauge", "feeler"',
    ),
    "a moment of no reading": (
        'id = "make-safe"\nact',
        'authority = "common practice, no source"',
        'moment = "as found"\nauthority = "common practice, no source"',
        "cards.diaphragm-service.steps[1].moment: this step takes no reading; name one",
    ),
    "an added task without a name": (
        'id = "carburettor-off"\nact',
        'action = "continue"',
        'action = "add task"',
        '.task: the action is "add task"; name the task of the programme that is added',
    ),
    "a task where none is added": (
        'id = "carburettor-off"\nact',
        'action = "continue"',
        'action = "continue"\ntask = "flange-check"',
        ".task: only a finding that adds a task, stops, or forbids the release names a task",
    ),
    "passes that fall": (
        'id = "intake-flange"\ntitle = "Inlet flange and insulator"',
        "passes = [0.5, 1.0]",
        "passes = [1.0, 0.5]",
        "joints.intake-flange.fasteners.passes: passes must rise and end at 1.0",
    ),
    "a task that never comes due": (
        THE_TASK,
        "interval_h = 100.0\ninterval_months = 12\n",
        "",
        "programme.diaphragm-service.interval_months: a task needs interval_h or interval_months",
    ),
    "hours over the limit as long as the interval": (
        THE_TASK,
        "tolerance_h = 10.0",
        "tolerance_h = 100.0",
        "programme.diaphragm-service.tolerance_h: 100 h is not below the interval of 100 h",
    ),
    "days over the limit as long as the interval": (
        THE_TASK,
        "tolerance_days = 30",
        "tolerance_days = 365",
        "programme.diaphragm-service.tolerance_days: 365 days are as long as the interval of 12 months",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_wrong_is_told_with_its_place(case: str, complaint: Complaint) -> None:
    after, old, new, expected = CASES[case]
    told = complaint(after, old, new)
    assert told.startswith("velisk-185.toml, ")
    assert expected in told
    assert "(line " in told


def test_a_slip_in_the_toml_is_told_with_its_line(complaint: Complaint) -> None:
    told = complaint('title = "Velisk 185"', "version = 5", "version 5")
    assert told == (
        "velisk-185.toml: this is not TOML: Expected '=' after a key in a key/value pair (line 3)"
    )


def test_a_sheet_that_breaks_off_is_told_with_its_last_line() -> None:
    with pytest.raises(SheetError, match=r"x\.toml: this is not TOML: .* \(line 2\)"):
        load_sheet('id = "x"\ntitle = [', "x.toml")


def test_an_empty_file_is_told_what_it_lacks() -> None:
    with pytest.raises(SheetError, match=r"empty\.toml, geometry: is missing; write it into this table"):
        load_sheet("", "empty.toml")


def test_a_value_where_a_table_belongs() -> None:
    with pytest.raises(SheetError, match=r"x.toml, limits\[1\]: must be a table, not 3 \(line 1\)"):
        load_sheet("limits = [3]", "x.toml")


def test_everything_wrong_is_told_at_once_in_the_order_of_the_file() -> None:
    text = shipped_texts()["velisk-185.toml"]
    text = text.replace('reading = "cht"', 'reading = "ctt"', 1).replace(
        'card = "flange-check"', 'card = "flange"'
    )
    with pytest.raises(SheetError) as caught:
        load_sheet(text, "two.toml")
    keys = [problem.key for problem in caught.value.problems]
    assert keys == ["programme.flange-check.card", "cards.diaphragm-service.steps[59].reading"]
    lines = [problem.line for problem in caught.value.problems]
    wrong = [
        n for n, line in enumerate(text.splitlines(), 1) if line in ('reading = "ctt"', 'card = "flange"')
    ]
    assert lines == wrong

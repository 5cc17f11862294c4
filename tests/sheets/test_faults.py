"""The fault table of a sheet: what each build sees of it, what it computes, and what the loader says of slips."""

import time
import tomllib
from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files

import pytest

from tickover.science.faults import NOT_LISTED, Evidence
from tickover.science.faults.next import advise
from tickover.science.faults.posterior import posterior
from tickover.sheets import Build, FaultTable, TypeSheet, shipped_sheets
from tickover.sheets.composing import composed
from tickover.sheets.reading import sheet_data

Complaint = Callable[..., str]
SEALS = 'id = "drive-seal-leaks"'
RACES = 'id = "idle-races"'
VACUUM = 'id = "case-vacuum"\ntitle = "Case under'


@pytest.fixture(scope="module")
def table(sheet: TypeSheet) -> FaultTable:
    assert sheet.faults is not None
    return sheet.faults


def on(sheet: TypeSheet, build_id: str) -> FaultTable:
    table = sheet.for_build(build_id).faults
    assert table is not None
    return table


def test_each_build_has_its_own_causes(sheet: TypeSheet) -> None:
    hose, passage = on(sheet, "external-pulse"), on(sheet, "internal-pulse")
    of_the_hose = {cause.id for cause in hose.causes}
    of_the_passage = {cause.id for cause in passage.causes}
    assert "pulse-hose-soft" in of_the_hose - of_the_passage
    assert "pulse-passage-closed" in of_the_passage - of_the_hose
    assert "gearbox-fails" in of_the_hose
    assert "belt-slack" not in of_the_hose


def test_a_build_has_no_finding_that_nothing_on_it_causes(sheet: TypeSheet) -> None:
    for build in sheet.builds:
        table = on(sheet, build.id)
        network = table.network()
        assert network.findings == tuple(row.id for row in table.shown)
        assert "belt-note" not in network.findings
        assert network.causes[-1] == NOT_LISTED


def test_the_same_table_gives_the_same_network(sheet: TypeSheet) -> None:
    assert on(sheet, "external-pulse").network() is on(sheet, "external-pulse").network()


def test_everything_has_a_title(table: FaultTable) -> None:
    network, titles = table.network(), table.titles()
    assert set(network.causes) | set(network.findings) | set(network.groups) <= set(titles)
    assert titles["crank-seals"] == "Crank seal leaks, drive side or Crank seal leaks, ignition side"


def test_dangers_say_what_to_do(table: FaultTable) -> None:
    dangers = {finding.id for finding in table.findings if finding.danger}
    assert {"drips-at-rest", "fuel-smell", "cht-high", "propeller-cracked", "plug-light-or-metal"} <= dangers
    assert all(test.caution for test in table.tests if test.running)


# First suspects with one cause at a time, by weight times grade: worked by hand for one finding each, in percent
# of all causes. It checks that the table is typed in right, not that it is right about engines.
@pytest.mark.parametrize(
    ("finding", "shares"),
    [
        ("hard-start-cold", {"metering-diaphragm-hard": 11, "plug-faulty": 10, "fuel-stale-or-wrong": 9}),
        ("idle-races", {"metering-diaphragm-hard": 15, "intake-leak": 11, "reed-damaged": 8}),
        ("dies-on-opening", {"metering-diaphragm-hard": 13, "needles-too-lean": 10, "lever-too-low": 10}),
        ("sags-at-full", {"pump-diaphragm-hard": 12, "fuel-filter-restricted": 11, "tank-vent-blocked": 9}),
        ("drips-at-rest", {"inlet-needle-leaks": 32, "reed-damaged": 11, "wrong-piece-fitted": 9}),
        ("shakes-at-propeller-rate", {"propeller-loose": 37, "mount-cracked": 18, "gearbox-fails": 7}),
        ("cuts-out-for-good", {"piston-scored": 16, "stop-circuit-shorts": 8, "plug-faulty": 6}),
    ],
)
def test_first_suspects_of_one_finding(finding: str, shares: dict[str, int]) -> None:
    traits = ("belt", "gear", "external-pulse", "internal-pulse")
    every = Build(id="every-drive", title="Every drive", recognise="None is like it", traits=traits)
    shared = files("tickover.sheets") / "shipped" / "work" / "faults.toml"
    table = FaultTable.model_validate(sheet_data(shared.read_text(encoding="utf-8"))["faults"])
    listed = table.for_build(every).model_copy(update={"not_listed": 0.0})
    now = posterior(replace(listed.network(), most=1), Evidence(frozenset({finding})))
    assert {cause: round(100 * now.share(cause) - 0.05) for cause in shares} == pytest.approx(shares, abs=1)


def test_the_next_step_of_a_racing_idle(sheet: TypeSheet) -> None:
    table = on(sheet, "external-pulse")
    seen = frozenset({"idle-races", "idle-slow-to-fall"})
    now = posterior(table.network(), Evidence(seen, frozenset({"bubbles-in-line"})))
    assert [suspect.name for suspect in now.suspects()[:2]] == ["intake-leak", "crank-seals"]
    advice = advise(now, table.choices(sheet.access))
    assert advice.step == "look"
    vacuum = next(look for look in advice.looks if look.look.id == "case-vacuum")
    assert {"carburettor-off", "exhaust-off"} <= set(vacuum.opens)
    assert vacuum.minutes > 10


def test_fuel_that_drips_stops_everything(sheet: TypeSheet) -> None:
    table = on(sheet, "internal-pulse")
    now = posterior(table.network(), Evidence(frozenset({"drips-at-rest"})))
    advice = advise(now, table.choices(sheet.access))
    assert advice.step == "stop"
    assert advice.stops["drips-at-rest"].startswith("Fuel off")


@pytest.mark.parametrize("seen", [0, 1, 5, 20, 40, -1])
def test_any_evidence_is_answered_in_twenty_milliseconds_of_the_processor(
    sheet: TypeSheet, seen: int
) -> None:
    network = on(sheet, "external-pulse").network()
    names = network.findings
    known = Evidence(frozenset(names[:seen]), frozenset(names) - frozenset(names[:seen]))
    spent = []
    for _ in range(6):
        begin = time.process_time()
        assert posterior(network, known).shares.max() <= 1
        spent.append(time.process_time() - begin)
    assert sorted(spent)[2] < 0.020


def test_what_only_a_running_engine_shows_is_marked(table: FaultTable) -> None:
    at_rest = {row.id for row in table.findings if not row.running}
    assert at_rest == {
        "starter-does-not-turn",
        "will-not-turn",
        "seizure-marks",
        "drips-at-rest",
        "fuel-smell",
        "oily-wet",
        "gearbox-oil-falls",
        "plug-black",
        "plug-light-or-metal",
        "pulls-easily",
        "propeller-cracked",
    }


@pytest.mark.parametrize("danger", ["drips-at-rest", "propeller-cracked", "plug-light-or-metal", "cht-high"])
def test_after_a_stop_the_engine_is_not_run_to_learn_more(sheet: TypeSheet, danger: str) -> None:
    for build in sheet.builds:
        table = on(sheet, build.id)
        running = {row.id for row in table.shown if row.running}
        advice = advise(posterior(table.network(), {danger: True}), table.choices(sheet.access))
        assert advice.step == "stop"
        assert advice.looks and not {one.look.id for one in advice.looks} & running
    assert {"cht-high", "shakes-at-propeller-rate", "idle-races", "new-plug", "open-tank-cap"} <= running


def test_a_type_sheet_lays_its_own_weight_over_a_shared_cause() -> None:
    texts = {
        "type.toml": 'include = ["shared.toml"]\n[[builds]]\nid = "one"\n[[faults.causes]]\nid = "b"\nweight = 9',
        "shared.toml": '[faults]\nnot_listed = 0.1\n[[faults.causes]]\nid = "a"\nbuilds = ["other"]\n'
        '[[faults.causes]]\nid = "b"\nweight = 1\nfix = "Set it"',
    }
    faults = tomllib.loads(composed("type.toml", texts.__getitem__))["faults"]
    assert faults == {"not_listed": 0.1, "causes": [{"id": "b", "weight": 9, "fix": "Set it"}]}


CASES = {
    "a chance over 1": (
        "[faults.grades]",
        "almost_always = 0.9",
        "almost_always = 1.9",
        "faults.grades.almost_always: input should be less than or equal to 1, not 1.9 (line",
    ),
    "grades the wrong way round": (
        "[faults.grades]",
        "often = 0.6",
        "often = 0.2",
        "faults.grades.sometimes: 0.3 is above often, 0.2; are they swapped?",
    ),
    "a grade no higher than chance": (
        "[faults.false_findings]",
        "background = 0.02",
        "background = 0.1",
        "faults.grades.rarely: 0.1 is not above false_findings.background, 0.1",
    ),
    "a finding nobody wrote": (
        SEALS,
        '"idle-races"',
        '"idle-race"',
        "faults.causes.drive-seal-leaks.often[1]: there is no finding or test called "
        '"idle-race"; did you mean "idle-races"?',
    ),
    "two grades for one finding": (
        SEALS,
        '"oily-wet"',
        '"oily-wet", "idle-races"',
        'faults.causes.drive-seal-leaks.sometimes[5]: "idle-races" has a grade here already, often',
    ),
    "a finding nobody causes": (
        RACES,
        RACES,
        'id = "hums"\nphase = "idle"\ntitle = "Hums"\n\n[[faults.findings]]\n' + RACES,
        'faults.findings.hums: no cause has a grade for "hums"; grade it, or leave it out',
    ),
    "one id for a finding and a test": (
        VACUUM,
        'id = "case-vacuum"',
        RACES,
        'the id "idle-races" is taken in faults.findings, row',
    ),
    "twins called like a cause": (
        SEALS,
        'twins = "crank-seals"',
        'twins = "intake-leak"',
        'faults.causes.drive-seal-leaks.twins: "intake-leak" is the id of a row',
    ),
    "an opening nobody has": (
        VACUUM,
        '"carburettor-off"',
        '"carburetor-off"',
        'faults.tests.case-vacuum.access[1]: there is no access group called "carburetor-off"',
    ),
    "a build nobody has": (
        'id = "pulse-hose-soft"',
        '"external-pulse"',
        '"extrenal-pulse"',
        'faults.causes.pulse-hose-soft.builds[1]: there is no build or trait called "extrenal-pulse"; '
        'did you mean "external-pulse"?',
    ),
    "a task nobody has": (
        'id = "metering-diaphragm-hard"',
        'task = "diaphragm-service"',
        'task = "diaphragm-servis"',
        'faults.causes.metering-diaphragm-hard.task: there is no task called "diaphragm-servis"',
    ),
    "a weight of nothing": (
        SEALS,
        "weight = 3",
        "weight = 0",
        "faults.causes.drive-seal-leaks.weight: input should be greater than 0, not 0",
    ),
    "a key nobody knows": (
        SEALS,
        "weight = 3",
        "wieght = 3",
        'faults.causes.drive-seal-leaks.wieght: is not a key of this table; did you mean "weight"?',
    ),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_a_slip_is_told_with_row_and_column(complaint: Complaint, case: tuple[str, str, str, str]) -> None:
    after, old, new, expected = case
    assert expected in complaint(after, old, new)


def test_a_cause_that_shows_in_nothing(complaint: Complaint) -> None:
    quiet = '[[faults.causes]]\nid = "quiet"\nsystem = "fuel"\ntitle = "Quiet"\nweight = 1\nfix = "None"\n'
    told = complaint(SEALS, "[[faults.causes]]", quiet + "minutes = 1\n\n[[faults.causes]]")
    assert "faults.causes.quiet: this cause shows in no finding" in told


SHIPPED = [
    (name, build.id) for name, sheet in shipped_sheets().items() for build in sheet.builds if sheet.faults
]


@pytest.mark.parametrize(("type_id", "build_id"), SHIPPED)
def test_every_cause_has_a_task_that_puts_it_right(type_id: str, build_id: str) -> None:
    table = on(shipped_sheets()[type_id], build_id)
    assert [cause.id for cause in table.causes if cause.task is None] == []


@pytest.mark.parametrize(("type_id", "build_id"), SHIPPED)
@pytest.mark.parametrize(
    ("cause", "test", "needs_it_running"),
    [
        ("tank-vent-blocked", "vent-test", "open-tank-cap"),
        ("stop-circuit-shorts", "stop-wire-meter", "stop-wire-off"),
        ("stop-circuit-open", "stop-wire-meter", "does-not-stop"),
    ],
)
def test_what_is_dangerous_to_run_is_found_with_the_engine_still(
    type_id: str, build_id: str, cause: str, test: str, needs_it_running: str
) -> None:
    table = on(shipped_sheets()[type_id], build_id)
    shown = {row.id: row for row in table.shown}
    assert not shown[test].running and shown[needs_it_running].running
    row = next(row for row in table.causes if row.id == cause)
    assert test in row.almost_always


@pytest.mark.parametrize(("type_id", "build_id"), SHIPPED)
def test_the_mist_comes_before_the_carburettor_is_taken_off(type_id: str, build_id: str) -> None:
    sheet = shipped_sheets()[type_id]
    table = on(sheet, build_id)
    opens = [test for test in table.tests if "carburettor-off" in test.access]
    assert len(opens) >= 6
    assert all(test.after == ("mist-round-joints",) for test in opens)
    now = posterior(table.network(), Evidence(frozenset({"idle-races", "dies-on-opening"})))
    order = [look.look.id for look in advise(now, table.choices(sheet.access)).looks]
    assert all(order.index("mist-round-joints") < order.index(test.id) for test in opens if test.id in order)


DANGERS = ("does-not-stop", "throttle-stays-open", "will-not-turn", "knocks-or-grinds")


@pytest.mark.parametrize(("type_id", "build_id"), SHIPPED)
@pytest.mark.parametrize("finding", DANGERS)
def test_after_a_finding_that_stops_nothing_runs(type_id: str, build_id: str, finding: str) -> None:
    sheet = shipped_sheets()[type_id]
    table = on(sheet, build_id)
    now = posterior(table.network(), Evidence(frozenset({finding})))
    advice = advise(now, table.choices(sheet.access))
    assert advice.step == "stop" and finding in advice.stops
    assert advice.looks and not any(look.look.running for look in advice.looks)


@pytest.mark.parametrize(
    ("finding", "suspect"),
    [
        ("does-not-stop", "stop-circuit-open"),
        ("throttle-stays-open", "throttle-cable-sticks"),
        ("will-not-turn", "piston-scored"),
        ("thrust-low-speed-normal", "belt-slack"),
        ("spits-back", "reed-damaged"),
    ],
)
def test_the_first_suspect_of_a_finding_that_was_missing(finding: str, suspect: str) -> None:
    table = on(shipped_sheets()["velisk-130"], shipped_sheets()["velisk-130"].builds[0].id)
    now = posterior(table.network(), Evidence(frozenset({finding})))
    assert suspect in [one.name for one in now.suspects()[:2]]


def test_the_gearbox_tells_the_two_crank_seals_apart(sheet: TypeSheet) -> None:
    table = on(sheet, "external-pulse")
    seen = frozenset({"idle-races", "case-vacuum", "gearbox-oil-falls"})
    now = posterior(table.network(), Evidence(seen))
    assert now.share("drive-seal-leaks") > 5 * now.share("ignition-seal-leaks")


def test_a_test_comes_after_tests_there_are(complaint: Complaint) -> None:
    said = complaint('id = "case-pressure"', 'after = ["mist-round-joints"]', 'after = ["mist-round-joint"]')
    assert "mist-round-joint" in said and "faults.tests" in said


def test_tests_do_not_wait_in_chains(complaint: Complaint) -> None:
    said = complaint('id = "case-vacuum"', 'after = ["mist-round-joints"]', 'after = ["case-pressure"]')
    assert "comes after others itself" in said

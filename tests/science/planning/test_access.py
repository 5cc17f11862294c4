"""What has to be opened for a visit, and what opening it once saves."""

from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tickover.science.planning.access import offers, opened_for, visit_minutes
from tickover.sheets import shipped_sheets


class Group(NamedTuple):
    id: str
    title: str
    minutes: float
    requires: tuple[str, ...] = ()


class Row(NamedTuple):
    title: str
    minutes: float
    access: tuple[str, ...]
    id: str = ""


# Openings of a small two-stroke and their minutes: common practice, no source.
OPENINGS = (
    Group("A0", "From outside", 0),
    Group("A1", "Propeller off", 20),
    Group("A2", "Air box off", 6),
    Group("A3", "Carburettor off", 18),
    Group("A4", "Plug out", 3),
    Group("A5", "Exhaust off", 15),
    Group("A6", "Cooling shroud off", 8),
    Group("A7", "Reed block out", 10, ("A2", "A3")),
    Group("A8", "Cylinder head off", 15, ("A6",)),
    Group("A9", "Cylinder off", 20, ("A5", "A7", "A8")),
    Group("A10", "Recoil cover off", 10),
    Group("A11", "Flywheel off", 12, ("A10",)),
    Group("A12", "Belt cover off", 10, ("A1",)),
    Group("A13", "Engine off the frame", 40),
    Group("A14", "Cases split", 90, ("A9", "A11", "A12", "A13")),
    Group("A15", "Tank out", 12),
)
# Minutes of the tasks behind each opening that come round by each interval: common practice, no source.
EVERY_10_H = {"A0": (6, 10, 6, 6, 5, 8), "A4": (6,)}
EVERY_25_H = {"A0": (8, 6, 10, 8, 8, 15), "A2": (10,), "A4": (5, 8)}
EVERY_50_H = {
    "A0": (8, 15, 12),
    "A1": (20,),
    "A3": (45, 12, 5),
    "A4": (12,),
    "A5": (12,),
    "A7": (20,),
    "A10": (20,),
    "A15": (10,),
}
EVERY_100_H = {
    "A1": (15,),
    "A3": (60, 35),
    "A5": (25,),
    "A6": (12,),
    "A8": (60,),
    "A10": (15,),
    "A15": (20,),
}
AT_50_H = (EVERY_10_H, EVERY_25_H, EVERY_50_H)
AT_100_H = (*AT_50_H, EVERY_100_H)
REED = Row("Reed block", 20, ("A7",))
POP_OFF = Row("Pop-off", 12, ("A3",))
KIT = Row("Diaphragm kit", 45, ("A3",))
PLUG = Row("Plug", 6, ("A4",))


def due_together(tables: tuple[dict[str, tuple[int, ...]], ...]) -> list[Row]:
    return [
        Row("task", minutes, (opening,))
        for table in tables
        for opening, tasks in table.items()
        for minutes in tasks
    ]


# Both sums worked out beforehand, apart from this code.
@pytest.mark.parametrize(
    ("tables", "tasks", "shared_min", "alone_min"), [(AT_50_H, 28, 410, 479), (AT_100_H, 36, 675, 845)]
)
def test_the_big_inspections_with_shared_access(
    tables: tuple[dict[str, tuple[int, ...]], ...], tasks: int, shared_min: float, alone_min: float
) -> None:
    due = due_together(tables)
    visit = visit_minutes(due, OPENINGS)
    assert (len(due), visit.total_min, visit.alone_min) == (tasks, shared_min, alone_min)
    assert sum(shared.saved_min for shared in visit.shared) == visit.saved_min == alone_min - shared_min


def test_the_reed_block_comes_out_after_air_box_and_carburettor() -> None:
    assert [o.id for o in opened_for(["A7"], OPENINGS)] == ["A2", "A3", "A7"]


def test_split_cases_need_everything_off_once() -> None:
    opened = [o.id for o in opened_for(["A14", "A7"], OPENINGS)]
    assert len(opened) == len(set(opened)) == 13
    place = {name: n for n, name in enumerate(opened)}
    assert all(place[r] < place[o.id] for o in OPENINGS if o.id in place for r in o.requires)


def test_saving_is_told_with_what_is_open_and_for_which_tasks() -> None:
    visit = visit_minutes([KIT, REED], OPENINGS)
    assert [shared.in_words() for shared in visit.shared] == [
        "Carburettor off: opened once for Diaphragm kit and Reed block, 18 min saved"
    ]
    assert visit.openings == ("Carburettor off", "Air box off", "Reed block out")


def test_openings_shared_by_the_same_tasks_are_told_in_one_line() -> None:
    visit = visit_minutes(
        [REED, REED._replace(title="Petals"), REED._replace(title="Block screws")], OPENINGS
    )
    assert [shared.in_words() for shared in visit.shared] == [
        "Air box off; Carburettor off; Reed block out: opened once for Reed block, Petals and Block screws, "
        "68 min saved"
    ]


def test_tasks_from_outside_save_nothing_together() -> None:
    visit = visit_minutes([Row("Look at the blades", 6, ("A0",)), Row("Straps", 8, ())], OPENINGS)
    assert (visit.total_min, visit.saved_min, visit.openings, visit.shared) == (14, 0, (), ())


def test_no_tasks_take_no_time() -> None:
    assert visit_minutes([], OPENINGS).total_min == 0


def test_while_the_carburettor_is_off_the_reeds_are_offered_and_the_plug_is_not() -> None:
    (offer,) = offers([KIT], [PLUG, REED], OPENINGS)
    assert offer.in_words() == "already open, Carburettor off: Reed block, 18 min saved"
    assert offer.extra_min == 20 + 10 + 6


def test_the_largest_saving_is_offered_first() -> None:
    assert [o.task for o in offers([REED], [POP_OFF, REED], OPENINGS)] == ["Reed block", "Pop-off"]


def test_an_offer_saves_what_both_visits_would_have_cost_more() -> None:
    (offer,) = offers([KIT], [REED], OPENINGS)
    assert visit_minutes([KIT, REED], OPENINGS).saved_min == offer.saved_min


def test_an_opening_that_is_not_there_is_named() -> None:
    with pytest.raises(ValueError, match=r'no opening is called "A16"; there are: A0, A1'):
        visit_minutes([Row("Fuel pump", 5, ("A16",))], OPENINGS)


def test_an_opening_before_itself_is_refused() -> None:
    ring = (Group("a", "Hood", 1, ("b",)), Group("b", "Duct", 1, ("a",)))
    with pytest.raises(ValueError, match=r'"a" would have to be open before itself: a -> b -> a'):
        opened_for(["a"], ring)


@given(st.lists(st.tuples(st.sampled_from(OPENINGS), st.integers(0, 60)), max_size=12))
def test_sharing_never_costs_and_its_savings_add_up(drawn: list[tuple[Group, int]]) -> None:
    tasks = [Row(f"task {n}", minutes, (o.id,)) for n, (o, minutes) in enumerate(drawn)]
    visit = visit_minutes(tasks, OPENINGS)
    assert visit.total_min <= visit.alone_min
    assert visit.saved_min == sum(shared.saved_min for shared in visit.shared)
    assert visit.alone_min == sum(visit_minutes([task], OPENINGS).total_min for task in tasks)


def test_rows_of_a_type_sheet_go_straight_in() -> None:
    for sheet in shipped_sheets().values():
        visit = visit_minutes(sheet.programme, sheet.access)
        assert visit.working().result.value == visit.total_min > 0

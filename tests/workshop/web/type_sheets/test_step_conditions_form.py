"""The form of a step: its act, the place of its reading, and the findings on which alone it is done."""

from __future__ import annotations

from typing import Any

from tickover.sheets import sheet_data, shipped_texts
from tickover.workshop.knowledge.tables import Place, row_of, rows_of
from tickover.workshop.web.type_sheets.row_form import RowForm

CARD = Place("steps", "air-filter-service")
LOOK, WASH = "element", "oil"


def shipped() -> dict[str, Any]:
    return sheet_data(shipped_texts()["velisk-185.toml"])


def typed(form: RowForm, **keys: Any) -> dict[str, Any]:
    """What a browser sends of a form, with some fields changed."""
    sent = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in (sent | keys).items() if value not in (None, False)}


def test_a_step_is_offered_what_may_be_found_before_it_and_nothing_after() -> None:
    data = shipped()
    form = RowForm(CARD, data, row=row_of(data, CARD, WASH))
    offered = dict(form.fields["only_on"].choices)  # type: ignore[attr-defined]
    assert offered[f"{LOOK}.dusty"].endswith(". Dust outside, clean inside")
    assert not [name for name in offered if name.startswith((f"{WASH}.", "choke."))]
    new = RowForm(CARD, data)
    findings = [f for step in rows_of(data, CARD) for f in step.get("findings", ())]
    assert len(new.fields["only_on"].choices) == len(findings)  # type: ignore[attr-defined]


def test_its_condition_act_and_place_go_into_the_row() -> None:
    data = shipped()
    row = row_of(data, CARD, WASH)
    sent = typed(RowForm(CARD, data, row=row), only_on=[f"{LOOK}.dusty"], does=LOOK, place="drive side")
    form = RowForm(CARD, data, sent, row)
    assert form.is_valid(), form.errors
    changed = form.row()
    assert changed["only_on"] == [f"{LOOK}.dusty"]
    assert changed["does"] == LOOK and changed["place"] == "drive side"
    assert changed["findings"] == row["findings"]


def test_an_act_or_a_finding_that_the_sheet_has_not_is_refused() -> None:
    data = shipped()
    row = row_of(data, CARD, WASH)
    blank = RowForm(CARD, data, row=row)
    for keys in ({"does": "no-such-act"}, {"only_on": ["choke.touches"]}):
        form = RowForm(CARD, data, typed(blank, **keys), row)
        assert list(form.errors) == list(keys)
    assert RowForm(CARD, data, typed(blank), row).is_valid()


def test_every_key_of_a_step_is_asked_for_in_words() -> None:
    data = shipped()
    form = RowForm(CARD, data, row=row_of(data, CARD, WASH))
    for key, label in (("does", "Act it does"), ("place", "Where it is read"), ("only_on", "Only if found")):
        assert form.fields[key].label == label and form.fields[key].help_text

"""Pages of the type sheets: for whom each opens, by which method, and what their forms refuse."""

from __future__ import annotations

import html
from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.forms import Form
from django.http import QueryDict
from django.test import Client

from tickover.sheets import sheet_data
from tickover.workshop.kernel.models import Entry
from tickover.workshop.knowledge import queries, tables
from tickover.workshop.knowledge.models import SheetDraft
from tickover.workshop.knowledge.tables import Place
from tickover.workshop.register.models import SheetVersion
from tickover.workshop.web.type_sheets import urls
from tickover.workshop.web.type_sheets.row_form import RowForm

pytestmark = pytest.mark.usefixtures("verified")

TYPE = "/type-sheets/velisk-185"
STEPS = f"{TYPE}/cards/flange-check/steps"
LOOKS = {
    "types": "/type-sheets/",
    "type": f"{TYPE}/",
    "export": f"{TYPE}/sheet.toml",
    "versions": f"{TYPE}/versions/",
    "card": f"{TYPE}/cards/flange-check/",
}
KNOWS = {
    "new-type": "/type-sheets/new/",
    "import": "/type-sheets/import/",
    "draft": f"{TYPE}/draft/",
    "draft-export": f"{TYPE}/draft/sheet.toml",
    "add-row": f"{TYPE}/change/limits/add/",
    "change-row": f"{TYPE}/change/limits/lever-height/",
    "add-step": f"{STEPS}/add/",
    "change-step": f"{STEPS}/make-safe/",
}
WRITES = {
    "keep": f"{TYPE}/draft/keep/",
    "discard": f"{TYPE}/draft/discard/",
    "over-newest": f"{TYPE}/draft/over-newest/",
    "take-shipped": f"{TYPE}/draft/shipped/",
    "remove-row": f"{TYPE}/change/limits/lever-height/remove/",
    "remove-step": f"{STEPS}/make-safe/remove/",
    "move-step": f"{STEPS}/make-safe/move/",
}


@pytest.fixture
def inspector(signed_in: Callable[..., Client], crew: Any, sheet: Any) -> Client:
    return signed_in(crew.inspector)


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any, sheet: Any) -> Client:
    return signed_in(crew.technician)


def posted(client: Client, address: str) -> dict[str, Any]:
    """What the form of a page sends when nothing is typed into it."""
    context = client.get(address).context
    return {"mark": context.get("mark", ""), **filled_in(context["form"])}


def filled_in(form: Form) -> dict[str, Any]:
    """What stands in the fields of a form, as a browser sends it: nothing of what is empty."""
    values = {field.html_name: field.value() for field in form}
    return {name: value for name, value in values.items() if value not in (None, "", False)}


def change(client: Client, address: str, **typed: Any) -> Any:
    return client.post(address, posted(client, address) | typed)


def page_of(answer: Any) -> str:
    return html.unescape(answer.content.decode())


def test_these_tests_know_every_address() -> None:
    known = LOOKS.keys() | KNOWS.keys() | WRITES.keys()
    assert {pattern.name for pattern in urls.urlpatterns} == known


@pytest.mark.parametrize("name", LOOKS)
def test_everyone_may_look(technician: Client, name: str) -> None:
    answer = technician.get(LOOKS[name])
    assert answer.status_code == 200
    if name != "export":
        page = answer.content.decode()
        assert page.count("<h1") == 1 and "style=" not in page and "{{" not in page


@pytest.mark.parametrize("name", KNOWS)
def test_an_inspector_and_a_manager_may_change(
    inspector: Client, signed_in: Callable[..., Client], crew: Any, name: str
) -> None:
    for client in (inspector, signed_in(crew.manager)):
        change(client, KNOWS["change-row"], nominal="1.42")
        assert client.get(KNOWS[name]).status_code == 200


@pytest.mark.parametrize("name", [*KNOWS, *WRITES])
def test_a_technician_may_not_change(technician: Client, name: str) -> None:
    before = Entry.objects.count()
    ask = technician.post if name in WRITES else technician.get
    answer = ask((KNOWS | WRITES)[name])
    assert answer.status_code == 403 and "may not change type sheets" in page_of(answer)
    assert Entry.objects.count() == before and not SheetDraft.objects.exists()


@pytest.mark.parametrize("name", [*LOOKS, *KNOWS, *WRITES])
def test_a_stranger_is_led_to_sign_in(sheet: Any, client: Client, name: str) -> None:
    ask = client.post if name in WRITES else client.get
    assert ask((LOOKS | KNOWS | WRITES)[name])["Location"].startswith("/sign-in/")


@pytest.mark.parametrize("name", WRITES)
def test_a_form_is_not_read_as_a_page(inspector: Client, name: str) -> None:
    assert inspector.get(WRITES[name]).status_code == 405


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_to_read_takes_no_form(inspector: Client, name: str) -> None:
    assert inspector.post(LOOKS[name]).status_code == 405


@pytest.mark.parametrize(
    "address",
    [
        "/type-sheets/none/",
        "/type-sheets/none/versions/",
        "/type-sheets/none/sheet.toml",
        "/type-sheets/none/draft/",
        "/type-sheets/none/engines/new/",
        f"{TYPE}/draft/",
        f"{TYPE}/cards/none/",
        f"{TYPE}/change/limits/none/",
        f"{TYPE}/change/notice/add/",
        f"{TYPE}/change/geometry/add/",
        f"{TYPE}/cards/none/steps/add/",
        f"{STEPS}/none/",
    ],
)
def test_what_is_not_there_is_404(inspector: Client, address: str) -> None:
    assert inspector.get(address).status_code == 404


@pytest.mark.parametrize("what", ["limits", "programme", "cards", "parts", "kits", "joints", "faults", "x"])
def test_every_table_is_read_with_its_standing(technician: Client, what: str) -> None:
    page = page_of(technician.get(f"{TYPE}/?what={what}"))
    assert "No row holds" not in page
    assert what in ("cards", "kits") or "ommon practice, no source" in page


def test_rows_are_searched_and_filtered_by_system(technician: Client) -> None:
    page = page_of(technician.get(f"{TYPE}/?what=limits&q=metering+lever&system=carburettor"))
    assert "Metering lever height" in page and "Plug gap" not in page
    assert "No row has these words" in page_of(technician.get(f"{TYPE}/?q=zzzz"))


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"nominal": "high"}, "is not a number"),
        ({"nominal": "9"}, "outside 1.2 to 1.6"),
        ({"lower": "2", "nominal": ""}, "are they swapped?"),
        ({"repeats": "1,5"}, "no whole number"),
        ({"title": ""}, "required"),
        ({"authority": "gospel"}, "Select a valid choice"),
        ({"builds": ["moon"]}, "Select a valid choice"),
        ({"resolution": "0"}, "greater than 0"),
        ({"title": "x" * 301}, "at most 300"),
    ],
)
def test_a_limit_that_cannot_be_is_refused_beside_its_field(
    inspector: Client, typed: dict[str, Any], says: str
) -> None:
    answer = change(inspector, KNOWS["change-row"], **typed)
    assert answer.status_code == 422 and says in page_of(answer)
    assert not SheetDraft.objects.exists()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"interval_h": "", "interval_months": ""}, "needs interval_h or interval_months"),
        ({"interval_h": "-5"}, "greater than 0"),
        ({"interval_months": "0"}, "greater than or equal to 1"),
        ({"interval_h": "10", "tolerance_h": "10"}, "tolerance"),
        ({"card": "none"}, "Select a valid choice"),
    ],
)
def test_an_interval_that_cannot_be_is_refused(inspector: Client, typed: dict[str, str], says: str) -> None:
    answer = change(inspector, f"{TYPE}/change/programme/diaphragm-service/", **typed)
    assert answer.status_code == 422 and says in page_of(answer)
    assert not SheetDraft.objects.exists()


@pytest.mark.parametrize("act", ["Look", "Look. Then tighten.", "x" * 91 + "."])
def test_a_step_is_one_short_sentence(inspector: Client, act: str) -> None:
    answer = change(inspector, KNOWS["change-step"], act=act)
    assert answer.status_code == 422 and not SheetDraft.objects.exists()


def test_a_part_is_added_and_taken_out_again(inspector: Client) -> None:
    typed = {"title": "Copper washer 14 mm", "unit": "piece", "authority": "own data"}
    assert inspector.post(f"{TYPE}/change/parts/add/", typed).status_code == 302
    assert "Copper washer 14 mm" in page_of(inspector.get(KNOWS["draft"]))
    inspector.post(f"{TYPE}/change/parts/copper-washer-14-mm/remove/")
    assert "No difference from version" in page_of(inspector.get(KNOWS["draft"]))


def test_a_part_that_others_name_is_missed_when_it_is_taken_out(inspector: Client) -> None:
    draft_text = sheet_data(SheetVersion.objects.get().text)
    part = draft_text["kits"][0]["pieces"][0]["part"]
    inspector.post(f"{TYPE}/change/parts/{part}/remove/")
    page = page_of(inspector.get(KNOWS["draft"]))
    assert "Correct before saving" in page and f'there is no part called "{part}"' in page
    answer = inspector.post(WRITES["keep"], {"reason": "not needed"})
    assert answer.status_code == 422 and SheetVersion.objects.count() == 1


def test_steps_are_added_changed_moved_and_taken_out(inspector: Client) -> None:
    def steps() -> list[str]:
        draft = SheetDraft.objects.get()
        return [row["id"] for row in tables.rows_of(sheet_data(draft.text), Place("steps", "flange-check"))]

    typed = {"act": "Wipe the flange dry.", "authority": "own data"}
    assert inspector.post(KNOWS["add-step"], typed).status_code == 302
    first = steps()
    assert first[-1] == "wipe-the-flange-dry"
    inspector.post(f"{STEPS}/wipe-the-flange-dry/move/", {"way": "up"})
    assert steps()[-2:] == ["wipe-the-flange-dry", first[-2]]
    inspector.post(f"{STEPS}/wipe-the-flange-dry/move/", {"way": "down"})
    inspector.post(f"{STEPS}/wipe-the-flange-dry/move/", {"way": "down"})
    assert steps() == first
    change(inspector, f"{STEPS}/wipe-the-flange-dry/", how="With a clean rag.")
    assert "With a clean rag." in page_of(inspector.get(LOOKS["card"]))
    inspector.post(f"{STEPS}/wipe-the-flange-dry/remove/")
    assert "No difference" in page_of(inspector.get(KNOWS["draft"]))


def every_row(data: dict[str, Any]) -> Iterator[tuple[Place, dict[str, Any]]]:
    cards = [Place("steps", card["id"]) for card in data["cards"]]
    for place in (*(Place(table) for table in tables.MODELS if table != "steps"), *cards):
        yield from ((place, row) for row in tables.rows_of(data, place))


def test_a_form_sent_as_it_came_gives_the_row_it_came_from(sheet: Any) -> None:
    """A row of each shape of each table: what a form loses or alters would go into the sheet unseen."""
    data, shapes = sheet_data(SheetVersion.objects.get().text), set()
    for place, row in every_row(data):
        if (shape := (place.table, *sorted(row))) in shapes:
            continue  # the same fields are filled in the same way
        shapes.add(shape)
        sent = QueryDict(urlencode(filled_in(RowForm(place, data, row=row)), doseq=True))
        form = RowForm(place, data, sent, row)
        assert form.is_valid() and form.row() == row, (place, row, form.errors)
    assert {table for table, *_ in shapes} == tables.MODELS.keys()


def test_a_form_sent_as_it_came_changes_nothing(inspector: Client) -> None:
    """One form of each kind goes all the way into the draft, and the draft says the same as the sheet."""
    one_of_each = {
        place.table: (place, row) for place, row in every_row(sheet_data(SheetVersion.objects.get().text))
    }
    for place, row in one_of_each.values():
        within = f"cards/{place.card}/steps" if place.card else f"change/{place.table}"
        last = "figures" if place.table in tables.SINGLE else row["id"]
        assert change(inspector, f"{TYPE}/{within}/{last}/").status_code == 302, place
    assert SheetDraft.objects.count() == 1
    assert "No difference from version" in page_of(inspector.get(KNOWS["draft"]))


def test_the_last_build_is_not_taken_out(inspector: Client, outer: Any) -> None:
    for build in sheet_data(SheetVersion.objects.get().text)["builds"]:
        inspector.post(f"{TYPE}/change/builds/{build['id']}/remove/")
    assert "builds" in sheet_data(SheetDraft.objects.get().text)
    assert len(sheet_data(SheetDraft.objects.get().text)["builds"]) == 1
    answer = inspector.post(WRITES["keep"], {"reason": "gone"})
    assert answer.status_code == 422 and "Outer" in page_of(answer)


def test_a_row_changed_in_another_window_is_not_overwritten(inspector: Client) -> None:
    old = posted(inspector, KNOWS["change-row"])
    change(inspector, KNOWS["change-row"], nominal="1.42")
    answer = inspector.post(KNOWS["change-row"], old | {"nominal": "1.5"})
    assert answer.status_code == 422 and "changed in another window" in page_of(answer)
    assert 'value="1.5"' in page_of(answer)
    assert 'value="1.42"' in page_of(inspector.get(KNOWS["change-row"]))
    change(inspector, KNOWS["change-row"], nominal="1.5")
    assert 'value="1.5"' in page_of(inspector.get(KNOWS["change-row"]))


def test_keeping_asks_why(inspector: Client) -> None:
    change(inspector, KNOWS["change-row"], nominal="1.42")
    answer = inspector.post(WRITES["keep"], {"reason": "  "})
    assert answer.status_code == 422 and SheetVersion.objects.count() == 1


def test_a_draft_is_kept_and_seen_among_the_versions(inspector: Client) -> None:
    change(inspector, KNOWS["change-row"], nominal="1,42")
    inspector.post(WRITES["keep"], {"reason": "manual, issue 4"})
    page = page_of(inspector.get(LOOKS["versions"]))
    assert "manual, issue 4" in page and "Ingo Halm" in page
    assert "1.42" in page and "Nominal value" in page
    one, two = (queries.version_lines("velisk-185")[n].row.fingerprint for n in (1, 0))
    same = page_of(inspector.get(LOOKS["versions"], {"from": two, "to": two}))
    assert "No difference" in same and one in same


def test_a_draft_is_discarded(inspector: Client) -> None:
    change(inspector, KNOWS["change-row"], nominal="1.42")
    inspector.post(WRITES["discard"])
    assert not SheetDraft.objects.exists() and SheetVersion.objects.count() == 1


def test_a_sheet_that_is_exported_and_imported_shows_no_difference(inspector: Client) -> None:
    text = inspector.get(LOOKS["export"]).content
    answer = inspector.post(KNOWS["import"], {"file": SimpleUploadedFile("a.toml", text)}, follow=True)
    assert "No difference" in page_of(answer) and not SheetDraft.objects.exists()
    answer = inspector.post(KNOWS["import"], {"text": text.decode()}, follow=True)
    assert "No difference" in page_of(answer)


def test_an_imported_change_becomes_a_draft(inspector: Client) -> None:
    text = inspector.get(LOOKS["export"]).content.decode()
    changed = text.replace('title = "Velisk 185"', 'title = "Velisk 185 mark two"')
    page = page_of(inspector.post(KNOWS["import"], {"text": changed}, follow=True))
    assert "Velisk 185 mark two" in page and "1 change since version" in page


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "paste its text"),
        ("a = ", "this is not TOML"),
        ('id = "x"\ntitle = 5', "must be text in quotes"),
    ],
)
def test_a_text_that_is_no_sheet_is_refused(inspector: Client, text: str, says: str) -> None:
    answer = inspector.post(KNOWS["import"], {"text": text})
    assert answer.status_code == 422 and says in page_of(answer)
    assert not SheetDraft.objects.exists()


def test_what_the_schema_refuses_is_told_by_table_key_and_line(inspector: Client) -> None:
    text = inspector.get(LOOKS["export"]).content.decode()
    line = text.splitlines().index("bore_mm = 66.0") + 1 if "bore_mm = 66.0" in text else 0
    broken = text.replace("stroke_mm =", "strok_mm =", 1)
    page = page_of(inspector.post(KNOWS["import"], {"text": broken}))
    assert "geometry.strok_mm" in page and "did you mean" in page and "line " in page
    assert line >= 0 and not SheetDraft.objects.exists()


def test_a_file_that_is_no_text_is_refused(inspector: Client) -> None:
    answer = inspector.post(KNOWS["import"], {"file": SimpleUploadedFile("a.toml", b"\xff\xfe\x00")})
    assert answer.status_code == 422 and "no text in UTF-8" in page_of(answer)


def test_a_type_leads_to_adding_an_engine_of_it(technician: Client) -> None:
    page = page_of(technician.get(LOOKS["type"]))
    assert 'href="/add-engine/?type=velisk-185"' in page
    form = page_of(technician.get("/add-engine/?type=velisk-185"))
    assert 'value="velisk-185" required checked' in form


@pytest.mark.parametrize(
    "words", ["<script>alert(1)</script>", "{{ 7|add:1 }}", "'; DROP TABLE x; --", "\u202e\u2028"]
)
def test_hostile_text_stays_text(inspector: Client, words: str) -> None:
    change(inspector, KNOWS["change-row"], title=f"Lever {words}", note=words)
    inspector.post(WRITES["keep"], {"reason": f"why {words}"})
    assert SheetVersion.objects.count() == 2
    for address in (f"{TYPE}/", f"{TYPE}/versions/", KNOWS["change-row"], f"{TYPE}/?q={words}"):
        answer = inspector.get(address)
        assert answer.status_code == 200 and "<script>alert" not in answer.content.decode()


def test_a_text_of_control_characters_breaks_nothing(inspector: Client) -> None:
    answer = change(inspector, KNOWS["change-row"], note="a\x07b\x1b")
    assert answer.status_code in (302, 422)
    assert inspector.get(LOOKS["type"]).status_code == 200


def new_type_of(client: Client, **typed: Any) -> Any:
    """Send the page of a new type as it came, but for what is typed."""
    address = "/type-sheets/new/?copy=velisk-185"
    page = client.get(address).context["page"]
    given = {"title": "Corvane 200"}
    for form in (page.geometry, page.propeller, *page.builds):
        given |= {f.html_name: f.value() for f in form if f.value() not in (None, "", False)}
    return client.post(address, given | typed)


def test_a_new_type_is_a_copy_with_its_own_name_and_notice(inspector: Client) -> None:
    answer = new_type_of(inspector, **{"build3-title": "Third", "build3-recognise": "By its red cover."})
    assert answer["Location"] == "/type-sheets/corvane-200/draft/"
    data = sheet_data(SheetDraft.objects.get().text)
    assert data["title"] == "Corvane 200" and "copy of Velisk 185" in data["notice"]
    assert data["builds"][-1]["id"] == "third"
    assert inspector.get("/type-sheets/corvane-200/")["Location"].endswith("/draft/")
    assert "Your draft of a new type" in page_of(inspector.get("/type-sheets/"))


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"geometry-bore_mm": "-1"}, "greater than 0"),
        ({"geometry-bore_mm": "wide"}, "is not a number"),
        ({"title": ""}, "required"),
        ({f"build{n}-title": "" for n in range(5)}, "at least one build"),
        ({"build0-serial_from": "9000", "build0-serial_to": "1"}, "are they swapped?"),
        ({"propeller-blades": "2.5"}, "no whole number"),
    ],
)
def test_a_new_type_that_cannot_be_is_refused(inspector: Client, typed: dict[str, str], says: str) -> None:
    answer = new_type_of(inspector, **typed)
    assert answer.status_code == 422 and says in page_of(answer)
    assert not SheetDraft.objects.exists()

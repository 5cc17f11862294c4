"""Pages of run-ups: for whom each opens, by which method, what they say and what they write."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tickover.workshop.kernel.models import Entry
from tickover.workshop.register.models import EvidenceFile
from tickover.workshop.run_ups import actions, queries
from tickover.workshop.run_ups.models import Acceptance, KnownColumns, NeedleNote, RunUp
from tickover.workshop.web.run_ups import urls

pytestmark = pytest.mark.usefixtures("verified")

LOOKS = {
    "runs": "/runs/",
    "how-to": "/runs/how-to/",
    "engine-runs": "/engines/1200/runs/",
    "baseline": "/engines/1200/runs/baseline/",
    "new": "/engines/1200/runs/new/",
    "overlay": "/engines/1200/runs/overlay/",
    "run": "/engines/1200/runs/{run}/",
    "paper": "/engines/1200/runs/{run}/paper/",
    "strip": "/engines/1200/runs/{run}/strip.svg",
    "trace-csv": "/engines/1200/runs/{run}/trace.csv",
    "trace-json": "/engines/1200/runs/{run}/trace.json",
    "tuning": "/engines/1200/tuning/",
}
WRITES = {
    "columns": "/engines/1200/runs/columns/",
    "accept": "/engines/1200/runs/{run}/accept/",
    "needles": "/engines/1200/tuning/needles/",
}
SOUND = "/engines/1200/runs/{run}/sound/"
DATA_FORMS = ("strip", "trace-csv", "trace-json", "paper")
BESIDE = {
    "on_day": "2025-05-04",
    "air_c": "15",
    "pressure_hpa": "1013",
    "fuel": "e5",
    "petrol_to_oil": "50",
    "turns_low": "1",
    "turns_high": "1.25",
}


def table(
    *,
    full: float = 7900.0,
    climb: float = -40.0,
    cht: float = 185.0,
    seed: int = 1,
    head: str = "",
    unit: float = 1.0,
) -> bytes:
    """A run-up as a logger writes it: 20 s idle, a burst, a minute at full throttle."""
    knots = [(0, 0), (2, 0), (3, 2050), (25, 2050), (25.5, 6500), (26, 6500), (27, 2050), (45, 2050),
             (46.2, full), (110, full + climb), (112, 2050), (125, 2050), (126, 0), (128, 0)]  # fmt: skip
    t = np.arange(0.0, 128.0, 0.2)
    rpm = np.interp(t, *zip(*knots, strict=True))
    rpm = np.where(rpm > 0, rpm + np.random.default_rng(seed).normal(0, 15, t.size), 0.0).clip(0)
    heat = 90.0 + (cht - 90.0) * (1.0 - np.exp(-np.clip(t - 45.0, 0.0, 65.0) / 20.0))
    rows = [f"{a:.1f},{b / unit:.2f},{c:.1f}" for a, b, c in zip(t, rpm, heat, strict=True)]
    return "\n".join([head or "time [s],rpm,CHT [C]", *rows]).encode()


@pytest.fixture
def take(outer: Any, crew: Any, now: Any) -> Callable[..., RunUp]:
    def add(
        *,
        on_day: str = "2025-05-04",
        job: Any = None,
        before_or_after: str = "",
        wet: float | None = 50.0,
        **run: Any,
    ) -> RunUp:
        from datetime import date

        circumstances = actions.Circumstances(
            date.fromisoformat(on_day),
            15.0,
            1013.0,
            wet,
            "e5",
            50.0,
            1.0,
            1.25,
            None,
            "",
            job,
            before_or_after,
        )
        file = actions.Upload(table(**run), "log.csv", {})
        return actions.add_run(outer, file, circumstances, who=crew.technician, at=now)

    return add


@pytest.fixture
def run(take: Callable[..., RunUp]) -> RunUp:
    return take()


@pytest.fixture
def technician(signed_in: Callable[..., Client], crew: Any) -> Client:
    return signed_in(crew.technician)


def upload(client: Client, data: bytes, name: str = "log.csv", **more: str) -> Any:
    file = SimpleUploadedFile(name, data)
    return client.post("/engines/1200/runs/new/", BESIDE | more | {"run_file": file})


def test_these_tests_know_every_address() -> None:
    assert {pattern.name for pattern in urls.urlpatterns} == LOOKS.keys() | WRITES.keys() | {"sound"}


@pytest.mark.parametrize("name", LOOKS)
def test_a_page_opens_for_a_technician(run: RunUp, technician: Client, name: str) -> None:
    answer = technician.get(LOOKS[name].format(run=run.entry_sequence))
    assert answer.status_code == 200
    if name not in DATA_FORMS:
        page = answer.content.decode()
        assert page.count("<h1") == 1 and "style=" not in page and "{{" not in page and "{%" not in page


@pytest.mark.parametrize("name", [*LOOKS, *WRITES])
def test_a_stranger_is_led_to_sign_in_and_writes_nothing(run: RunUp, client: Client, name: str) -> None:
    before = Entry.objects.count()
    address = (LOOKS | WRITES)[name].format(run=run.entry_sequence)
    answer = client.get(address) if name in LOOKS else client.post(address, {})
    assert answer.status_code == 302 and answer["Location"].startswith("/sign-in/")
    assert Entry.objects.count() == before


@pytest.mark.parametrize("name", WRITES)
def test_a_form_is_not_read_as_a_page(run: RunUp, technician: Client, name: str) -> None:
    assert technician.get(WRITES[name].format(run=run.entry_sequence)).status_code == 405


@pytest.mark.parametrize("address", [*LOOKS.values(), SOUND, *WRITES.values()])
def test_what_is_not_there_is_404(run: RunUp, technician: Client, address: str) -> None:
    if "1200" not in address:
        return
    ask = technician.post if address in WRITES.values() else technician.get
    assert ask(address.replace("1200", "9").format(run=run.entry_sequence)).status_code == 404
    if "{run}" in address:
        assert ask(address.format(run=999_999)).status_code == 404


def test_a_run_of_a_logger_has_no_recording(run: RunUp, technician: Client) -> None:
    assert technician.get(SOUND.format(run=run.entry_sequence)).status_code == 404


def test_the_cautions_stand_before_the_form(technician: Client, outer: Any) -> None:
    page = technician.get(LOOKS["new"]).content.decode()
    for caution in (
        "tied down",
        "plane of the propeller or behind it",
        "Two persons",
        "Hearing",
        "Never indoors",
    ):
        assert 0 < page.index(caution) < page.index('type="file"')


def test_a_table_becomes_a_run_with_its_answer(technician: Client, outer: Any) -> None:
    answer = upload(technician, table())
    row = RunUp.objects.get()
    assert answer["Location"] == f"/engines/1200/runs/{row.entry_sequence}/"
    assert row.figures["static-rpm-20"] == pytest.approx(7890, abs=15)
    assert (row.turns_high, row.fuel, row.air_c) == (1.25, "e5", 15.0)
    page = technician.get(answer["Location"]).content.decode()
    assert "<svg" in page and "same as saved" in page
    assert page.index('class="answer') < page.index("<svg")


def test_a_qnh_becomes_the_pressure_at_the_field(technician: Client, outer: Any) -> None:
    # ISO 2533, table: 1013.25 hPa at 0 m, 954.6 hPa at 500 m.
    upload(technician, table(), pressure_hpa="1013.25", elevation_m="500")
    assert RunUp.objects.get().pressure_hpa == pytest.approx(954.6, abs=0.2)


@pytest.mark.parametrize(
    ("data", "name", "says"),
    [
        (b"", "log.csv", "empty"),
        (b"time [s],rpm\n" + b"\n".join(b"%d,2000" % n for n in range(4)), "log.csv", "at least 10 s"),
        (b"time [s],rpm\n" + b"\n".join(b"%d,fast" % n for n in range(40)), "log.csv", "Line 2"),
        (b"\x89PNG\r\n\x1a\n123", "log.csv", "PNG"),
        (b"PK\x03\x04zip", "sound.wav", "ZIP"),
        (b"just some words\nand more", "log.csv", "Nothing was saved"),
        (b"time [s],rpm\n" + b"\n".join(b"%d,0" % n for n in range(40)), "log.csv", "never turns faster"),
    ],
)
def test_a_file_that_is_no_run_up_is_refused_and_nothing_is_kept(
    technician: Client, outer: Any, data_folder: Path, data: bytes, name: str, says: str
) -> None:
    answer = upload(technician, data, name)
    assert answer.status_code == 422 and says in answer.content.decode()
    assert not RunUp.objects.exists() and not EvidenceFile.objects.exists()
    assert not [p for p in (data_folder / "files").rglob("*") if p.is_file()]


def test_text_for_a_speed_and_time_that_goes_back_are_told_with_their_lines(
    technician: Client, outer: Any
) -> None:
    lines = table().decode().splitlines()
    lines[10], lines[20] = "1.8,hot,90", "1.03,0,90"
    page = technician.get(upload(technician, "\n".join(lines).encode())["Location"]).content.decode()
    assert "Line 11: the rpm" in page and "Line 21: the time 1.03 goes back" in page


def test_the_same_file_is_one_run(technician: Client, run: RunUp) -> None:
    answer = upload(technician, table())
    assert answer.status_code == 422 and "is a run-up of Outer already" in answer.content.decode()
    assert RunUp.objects.count() == 1


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"on_day": "2099-01-01"}, "still to come"),
        ({"air_c": "150"}, "Air temperature"),
        ({"air_c": "warm"}, "not a number"),
        ({"before_or_after": "before"}, "Choose its visit"),
        ({"turns_high": "77"}, "High needle"),
    ],
)
def test_what_is_typed_beside_it_is_checked(
    technician: Client, outer: Any, more: dict[str, str], says: str
) -> None:
    answer = upload(technician, table(), **more)
    assert answer.status_code == 422 and says in answer.content.decode()
    assert not RunUp.objects.exists() and not EvidenceFile.objects.exists()


def test_a_logger_whose_headers_tell_nothing_is_asked_once(
    technician: Client, outer: Any, data_folder: Path
) -> None:
    head = "a,b,c"
    asked = upload(technician, table(head=head, unit=60.0))
    page = asked.content.decode()
    assert asked.status_code == 200 and "Which column" in page and 'name="turns_high" value="1.25"' in page
    assert not RunUp.objects.exists() and not EvidenceFile.objects.exists()
    waits = asked.context["waiting"]
    told = BESIDE | {
        "waiting": waits, "file_name": "odd.csv", "time": "0", "time_unit": "s", "rpm": "1", "rpm_per_count": "60",
        "cht": "2", "egt": "", "degrees": "deg C",
    }  # fmt: skip
    wrong = technician.post(WRITES["columns"], told | {"rpm": "0"})
    assert wrong.status_code == 422 and "cannot be one column" in wrong.content.decode()
    answer = technician.post(WRITES["columns"], told)
    assert answer.status_code == 302, answer.content.decode()
    first = RunUp.objects.get()
    assert first.figures["idle-rpm"] == pytest.approx(2050, abs=15) and first.turns_high == 1.25
    assert KnownColumns.objects.count() == 1 and not list((data_folder / "waiting").iterdir())
    known = upload(technician, table(head="A, b,C", unit=60.0, seed=2))
    assert known.status_code == 302 and RunUp.objects.count() == 2
    assert technician.post(WRITES["columns"], told).status_code == 422


@pytest.mark.parametrize("waits", ["", "../../etc/passwd", "0" * 64])
def test_a_file_that_does_not_wait_is_asked_for_again(technician: Client, outer: Any, waits: str) -> None:
    answer = technician.post(WRITES["columns"], BESIDE | {"waiting": waits})
    assert answer.status_code == 422 and "is no longer here" in answer.content.decode()


def test_a_person_accepts_a_run_and_keeps_another_out_with_a_reason(technician: Client, run: RunUp) -> None:
    address = WRITES["accept"].format(run=run.entry_sequence)
    refused = technician.post(address, {"accepted": "no", "why": " "}, follow=True).content.decode()
    assert "Type why" in refused and not Acceptance.objects.exists()
    technician.post(address, {"accepted": "yes"})
    again = technician.post(address, {"accepted": "yes"}, follow=True).content.decode()
    assert "in the baseline already" in again and Acceptance.objects.count() == 1
    technician.post(address, {"accepted": "no", "why": "other propeller"})
    assert "other propeller" in technician.get(LOOKS["engine-runs"]).content.decode()
    assert queries.baseline(run.engine) == {}


def test_three_accepted_runs_judge_the_fourth(
    take: Callable[..., RunUp], technician: Client, crew: Any, now: Any
) -> None:
    for n, full in enumerate((7880.0, 7900.0, 7920.0)):
        row = take(full=full, seed=10 + n)
        actions.accept(row, accepted=True, why="", who=crew.technician, at=now)
    like = take(full=7910.0, seed=20)
    other = take(full=7500.0, seed=21)
    assert queries.opened(like).answer.startswith(
        "Inside its limits (idle, static rpm, CHT); some figures not measured"
    )
    opened = queries.opened(other)
    assert "not as before" in opened.answer
    page = technician.get(f"/engines/1200/runs/{other.entry_sequence}/").content.decode()
    assert "3 accepted runs" in page and "pic-shade" in page
    usual = technician.get(LOOKS["baseline"]).content.decode()
    assert ">Expected</th>" in usual and "Newest run outside in" in usual


def test_a_danger_comes_first_and_stops_the_tuning_card(
    take: Callable[..., RunUp], technician: Client
) -> None:
    row = take(cht=270.0)
    page = technician.get(f"/engines/1200/runs/{row.entry_sequence}/").content.decode()
    assert page.index("Stop. The cylinder head reached") < page.index("<svg")
    card = technician.get(LOOKS["tuning"]).content.decode()
    assert "Stop. Turn nothing" in card


def test_a_window_of_the_strip(run: RunUp, technician: Client) -> None:
    address = LOOKS["strip"].format(run=run.entry_sequence)
    whole, part = (technician.get(address + asked).content for asked in ("", "?from=40&to=50"))
    assert whole != part and part.startswith(b"<svg")
    for odd in ("?from=x&to=1", "?from=nan&to=inf", "?from=5&to=5", "?from=-1e400&to=9"):
        assert technician.get(address + odd).content[:4] == b"<svg"


def test_before_and_after_a_job_over_one_another(
    take: Callable[..., RunUp], outer: Any, hands: Any, technician: Client
) -> None:
    job = hands.open(outer)
    first = take(full=7500.0, job=job, before_or_after="before")
    second = take(on_day="2025-05-05", full=7900.0, job=job, before_or_after="after", seed=2)
    assert f"first={first.entry_sequence}" in technician.get(LOOKS["engine-runs"]).content.decode()
    page = technician.get(
        f"{LOOKS['overlay']}?first={first.entry_sequence}&second={second.entry_sequence}"
    ).content.decode()
    assert "pic-course" in page and "Changed: Static rpm at 20 s +4" in page
    assert f"/visits/{job.number}/" in page and "within ±" in page


def test_the_trace_as_data(run: RunUp, technician: Client) -> None:
    csv = technician.get(LOOKS["trace-csv"].format(run=run.entry_sequence)).content.decode().splitlines()
    assert csv[0] == "t_s,rpm,cht_c,phase" and csv[300].endswith(",full")
    data = technician.get(LOOKS["trace-json"].format(run=run.entry_sequence)).json()
    assert [p["name"] for p in data["phases"]] == [
        "stopped", "idle", "burst", "idle", "opening", "full", "closing", "idle", "stopped"
    ]  # fmt: skip


def test_needles_are_noted_with_air_and_fuel_and_the_card_waits_for_a_run_up(
    run: RunUp, technician: Client
) -> None:
    card = technician.get(LOOKS["tuning"]).content.decode()
    assert "Leave the high needle" in card
    noted = {"turns_low": "1", "turns_high": "1.375", "air_c": "10", "pressure_hpa": "1000", "fuel": "e5"}
    assert technician.post(WRITES["needles"], noted).status_code == 302
    note = NeedleNote.objects.get()
    assert (note.turns_high, note.air_c, note.run_id) == (1.375, 10.0, run.pk)
    card = technician.get(LOOKS["tuning"]).content.decode()
    assert "Run it up again before anything more is turned" in card
    assert technician.post(WRITES["needles"], {"turns_low": "x"}).status_code == 422


@pytest.mark.parametrize(
    ("coldest", "says"), [("-5", "Open the needle"), ("cold", "is not a temperature"), ("-80", "must")]
)
def test_the_margin_for_colder_air(run: RunUp, technician: Client, coldest: str, says: str) -> None:
    assert says in technician.get(f"{LOOKS['tuning']}?coldest={coldest}").content.decode()


def test_the_margin_says_that_a_humidity_was_assumed_and_what_it_leaves_open(
    take: Callable[..., RunUp], technician: Client
) -> None:
    for wet in (40.0, None):
        take(wet=wet, seed=2 if wet else 3)
        page = technician.get(f"{LOOKS['tuning']}?coldest=-5").content.decode()
        assert "Open the needle" in page and ("assumed" in page) is (wet is None)
    assert "Humidity was not noted with the run-up: 50 % assumed. In dry air the mixture changes by" in page


def test_a_run_whose_file_is_gone_says_so(run: RunUp, technician: Client, data_folder: Path) -> None:
    from tickover.workshop.kernel import evidence_files

    place = evidence_files.place_of(run.evidence.sha256)
    data = place.read_bytes()
    place.unlink()
    assert (
        "missing or damaged" in technician.get(LOOKS["run"].format(run=run.entry_sequence)).content.decode()
    )
    assert technician.get(LOOKS["strip"].format(run=run.entry_sequence)).status_code == 404
    place.write_bytes(data)


def test_a_script_is_told_where_the_run_is_and_the_page_says_its_word_once(
    technician: Client, outer: Any
) -> None:
    file = SimpleUploadedFile("log.csv", table())
    answer = technician.post(
        "/engines/1200/runs/new/", BESIDE | {"run_file": file}, headers={"X-Sent-By": "script"}
    )
    run = RunUp.objects.get()
    assert (answer.status_code, answer["Location"]) == (201, f"/engines/1200/runs/{run.entry_sequence}/")


def test_an_engines_runs_are_read_in_as_many_questions_with_one_job_as_with_many(
    technician: Client, outer: Any, crew: Any, hands: Any, now: Any
) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as questions:
            technician.get(LOOKS["engine-runs"])
        return len(questions)

    def pair_of(task: str, seed: int) -> None:
        job = hands.open(outer, task)
        for n, when in enumerate(("before", "after")):
            circumstances = actions.Circumstances(now.date(), job=job, before_or_after=when)
            file = actions.Upload(table(seed=seed + n), "log.csv", {})
            actions.add_run(outer, file, circumstances, who=crew.technician, at=now)

    pair_of("flange-check", 1)
    one = asked()
    pair_of("diaphragm-service", 3)
    pair_of("pop-off-and-hold", 5)
    assert asked() == one
    assert technician.get(LOOKS["engine-runs"]).content.decode().count("overlay/?first=") == 3

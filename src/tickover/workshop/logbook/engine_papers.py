"""Papers of the register: the card that travels with a component, the logbook of an engine, its label."""

from __future__ import annotations

from datetime import UTC, datetime

from django.utils.timezone import localdate

from tickover.language.amounts import day, hours, hours_fine, spread
from tickover.workshop import papers
from tickover.workshop.components import queries as components
from tickover.workshop.components.queries import Installation
from tickover.workshop.engine_time import queries as engine_time
from tickover.workshop.engine_time.at_a_time import Between
from tickover.workshop.kernel import queries as journal
from tickover.workshop.kernel.local_time import local_day
from tickover.workshop.logbook import records, sections
from tickover.workshop.people import queries as people
from tickover.workshop.register import queries
from tickover.workshop.register.models import Component, Engine, Fitting, Removal

LABELS_ON_A_SHEET = 24
PLUS_MINUS = "± is two standard deviations."


def component_card(component: Component) -> bytes:
    """The card of a component: where it was, how long it ran there, and what it came with."""
    now = _last_about(component)
    line = components.component_line(component, now)
    where = f"on {line.here.engine.name}, serial {line.here.engine.serial}" if line.here else "on no engine"
    return papers.record_pdf(
        papers.RecordData(
            document_date=localdate(now),
            workshop=people.the_workshop().name,
            kind="Component card",
            number=component.serial,
            serial=component.serial,
            title=f"{component.title} {component.serial}",
            words=f"{_time(line.time)} since new, {where}; by the records up to {local_day(now)}.",
            facts=(
                papers.Fact("Kind", component.get_kind_display()),
                papers.Fact("Came with", _time(Between(component.initial_h, component.initial_sd_h))),
                papers.Fact("Registered", f"journal entry {component.entry_sequence}"),
            ),
            sections=(
                papers.Section(
                    "Where it was",
                    words=(
                        "Engine hours as recorded on the day of the entry. Hours run include later "
                        "corrections."
                    ),
                    columns=("Engine", "Fitted", "Removed", "Ran", "Remarks"),
                    widths=(1.2, 1, 1, 0.8, 1.3),
                    rows=tuple(_stay(stay) for stay in line.stays),
                    none_said="On no engine yet.",
                ),
                papers.Section(
                    "Withdrawn",
                    words="Fittings entered by mistake. They do not count.",
                    columns=("Engine", "Entered as fitted", "Why", "By"),
                    rows=tuple(_taken_back(r) for r in _mistakes(component)),
                    none_said="None.",
                ),
                papers.Section(
                    "To continue by hand",
                    words="For the next workshops, until they keep their own record.",
                    columns=("Engine and its hours", "Fitted on", "Removed on", "Hours run", "Signature"),
                    rows=((" \n ",) * 5,) * 4,
                ),
            ),
            foot=PLUS_MINUS,
        )
    )


def logbook(engine: Engine) -> bytes:
    """The whole history of an engine on paper; the same for the same records, on whatever day."""
    last = records.last_entry(engine)
    until = datetime.fromisoformat(last.at)
    total, sheet = engine_time.total_time(engine), queries.build_of(engine)
    overhaul = components.time_since_overhaul(engine, until)
    facts = (
        ("Engine", f"{engine.name}, {sheet.title}"),
        ("Serial", engine.serial),
        ("Build", sheet.build(engine.build_id).title),
        ("Owner", engine.owner.name),
        ("In service since", day(engine.in_service_on)),
        ("Starts counted", str(total.starts)),
        ("Time since new", f"{hours(total.hours_h)} h (± {spread(total.expanded_h)} h)"),
        ("Time since overhaul", _time(overhaul.time) if overhaul else "no overhaul recorded"),
        ("Records up to", f"{local_day(until)}, journal entry {last.sequence}"),
    )
    return papers.record_pdf(
        papers.RecordData(
            document_date=localdate(until),
            workshop=people.the_workshop().name,
            kind="Logbook",
            number=engine.serial,
            serial=engine.serial,
            title=f"Logbook of {engine.name}",
            facts=tuple(papers.Fact(name, value) for name, value in facts),
            sections=sections.sections(engine, until),
            signed=("printed and compared by", "received by"),
            foot=(
                f"{PLUS_MINUS} Newest journal entry about this engine: {last.sequence}, SHA-256 {last.hash}. "
                "A total of hours is no warranty: it is what the records say."
            ),
            notice=sheet.notice,
        )
    )


def label(engine: Engine, address: str, copies: int) -> bytes:
    """So many labels with the address of the engine's page in a code."""
    return papers.label_pdf(
        papers.LabelData(
            document_date=engine.in_service_on,
            workshop=people.the_workshop().name,
            name=engine.name,
            serial=engine.serial,
            engine=queries.build_of(engine).title,
            address=address,
            copies=copies,
        )
    )


def _last_about(component: Component) -> datetime:
    """The newest moment in the records that the component's time rests on."""
    stays = components.fittings().filter(component=component)
    newest = [journal.about(f"component/{component.kind}/{component.serial}", limit=1)[0].at]
    for fitting in stays:
        removal: Removal | None = getattr(fitting, "removal", None)
        newest.append(removal.removed_at if removal else _last_time(fitting.engine))
    return max(newest).astimezone(UTC)


def _last_time(engine: Engine) -> datetime:
    """The end of the last day that engine time stands for; midnight of its first day where there is none."""
    days = list(engine_time.counting_entries(engine).values_list("on_day", flat=True))
    return components.end_of(max([engine.in_service_on, *days]))


def _time(time: Between) -> str:
    return f"{hours(time.hours_h)} h (± {spread(time.expanded_h)} h)"


def _stay(stay: Installation) -> tuple[str, ...]:
    on, off = stay.fitting, stay.removal
    removed = f"{local_day(off.removed_at)}\nat {hours(off.engine_h)} h" if off else "still on"
    remarks = "; ".join(r for r in (on.remark, off.remark if off else "") if r)
    return (
        f"{on.engine.name}\nserial {on.engine.serial}",
        f"{local_day(on.fitted_at)}\nat {hours(on.engine_h)} h",
        removed,
        f"{hours_fine(stay.time.hours_h)} h\n± {spread(stay.time.expanded_h)} h",
        f"{remarks or '–'}\n{on.entered_by}{f', {off.entered_by}' if off else ''}",
    )


def _mistakes(component: Component) -> list[Removal]:
    rows = Removal.objects.filter(fitting__component=component, never_was=True)
    return list(rows.select_related("fitting", "fitting__engine").order_by("id"))


def _taken_back(removal: Removal) -> tuple[str, ...]:
    fitting: Fitting = removal.fitting
    return fitting.engine.name, local_day(fitting.fitted_at), removal.remark, removal.entered_by

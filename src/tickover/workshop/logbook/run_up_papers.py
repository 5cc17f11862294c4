"""A run-up on paper: puts what was found into words, and computes nothing."""

from __future__ import annotations

from django.utils.timezone import localdate

from tickover.language.amounts import amount, day, reading, spread, units
from tickover.science.core.working import Quantity
from tickover.science.run_up import Measure, Severity
from tickover.workshop import papers
from tickover.workshop.kernel.local_time import local_day
from tickover.workshop.people import queries as people
from tickover.workshop.run_ups import picture
from tickover.workshop.run_ups.cautions import CAUTIONS
from tickover.workshop.run_ups.models import RunUp
from tickover.workshop.run_ups.queries import Opened

NAMED = 20


def run_up(opened: Opened) -> bytes:
    """The whole run on A4, the verdict first."""
    run = opened.line.run
    numbered = picture.numbered_findings(opened.findings)
    measured = [m for m in opened.read.run.measures if m.value is not None]
    return papers.run_up_pdf(
        papers.RunUpData(
            document_date=localdate(run.at),
            workshop=people.the_workshop().name,
            number=str(run.entry_sequence),
            serial=run.engine.serial,
            title=f"{run.engine.name}, run-up of {day(run.on_day)}",
            answer=units(opened.answer),
            stop=numbered[0].finding.danger,
            facts=_facts(opened),
            strip=papers.PaperPicture(picture.picture(opened), f"Run-up strip. {units(opened.answer)}"),
            caption=_caption(opened),
            findings=tuple(_finding(t) for t in numbered if t.finding.weight is not Severity.GOOD),
            good=tuple(
                units(f"{f.seen} {f.against} {f.sure}") for f in opened.findings if f.weight is Severity.GOOD
            ),
            figures=tuple(_figure(m) for m in measured),
            holds=tuple(dict.fromkeys(_sentence(m.working().validity) for m in measured)),
            not_measured=tuple(
                f"{m.title}: {m.why_not}." for m in opened.read.run.measures if m.value is None
            ),
            file_name=f"{run.evidence.name} ({run.kind})",
            file_hash=run.evidence.sha256,
            about=_about(opened),
            cautions=CAUTIONS,
        )
    )


def _facts(opened: Opened) -> tuple[papers.Fact, ...]:
    run = opened.line.run
    of = f"{run.before_or_after.capitalize()} visit {run.job.number}" if run.job else "none"
    return (
        papers.Fact("Engine", f"{run.engine.name}, {opened.sheet.title}"),
        papers.Fact("Serial", run.engine.serial),
        papers.Fact("Of a visit", of),
        papers.Fact("Air", _air(run)),
        papers.Fact("Fuel", _fuel(run)),
        papers.Fact("Needles", _needles(run)),
        papers.Fact("Baseline", opened.line.state.capitalize()),
        papers.Fact("Added by", f"{run.by}, {local_day(run.at)}"),
        papers.Fact("Remark", run.remark or "none"),
    )


def _air(run: RunUp) -> str:
    noted = (
        f"{reading(run.air_c)} °C" if run.air_c is not None else "",
        f"{reading(run.pressure_hpa)} hPa at the field" if run.pressure_hpa is not None else "",
        _humidity(run),
    )
    return ", ".join(words for words in noted if words) or "not recorded"


def _humidity(run: RunUp) -> str:
    if run.humidity_percent is not None:
        return f"{reading(run.humidity_percent)} % humidity"
    return (
        "humidity not recorded: 50 % assumed for the thrust in standard air"
        if run.thrust_kgf is not None
        else ""
    )


def _fuel(run: RunUp) -> str:
    oil = f", {reading(run.petrol_to_oil)} to 1" if run.petrol_to_oil is not None else ""
    return (run.fuel or "not recorded") + oil


def _needles(run: RunUp) -> str:
    if run.turns_low is None and run.turns_high is None:
        return "not recorded"
    return f"low {reading(run.turns_low)}, high {reading(run.turns_high)} turns out"


def _caption(opened: Opened) -> str:
    band = " Dashed band: usual for this engine." if opened.baseline else ""
    return (
        "Speed above, temperatures below (CHT solid, EGT dashed). Shaded: full throttle and bursts. Gaps: "
        f"no reliable reading.{band}"
    )


def _finding(numbered: picture.NumberedFinding) -> papers.RunFinding:
    f = numbered.finding
    mark = str(numbered.number) if numbered.number else ""
    return papers.RunFinding(
        mark, units(f.seen), units(f.do), units(f"{f.against} {f.sure}".strip()), f.danger
    )


def _figure(measure: Measure) -> papers.RunFigure:
    assert measure.value is not None
    working = measure.working()
    return papers.RunFigure(
        title=measure.title,
        value=units(f"{measure.value:.1f} {measure.unit}"),
        spread=spread(measure.expanded) if measure.expanded else "",
        formula=units(working.formula),
        inputs="; ".join(_quantity(q) for q in working.inputs),
        source=units(working.source),
    )


def _sentence(words: str) -> str:
    return units(f"{words[:1].upper()}{words[1:]}.")


def _quantity(quantity: Quantity) -> str:
    return units(f"{quantity.name} {amount(quantity.value)} {quantity.unit}".strip())


def _about(opened: Opened) -> tuple[str, ...]:
    damaged = opened.read.damaged
    left_out = tuple(f"Line {d.line} left out: {d.reason}." for d in damaged[:NAMED])
    more = (f"{len(damaged) - NAMED} more lines left out.",) if len(damaged) > NAMED else ()
    return (*opened.read.remarks, *left_out, *more)

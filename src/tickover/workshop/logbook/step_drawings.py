"""The drawings of one step: where it is measured, what good work looks like, the pieces and screws of its joint."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from tickover.sheets import Joint, LimitRow
from tickover.workshop.drawings import plate, screw_pattern, stack, where_to_measure
from tickover.workshop.drawings.measuring import plate_title
from tickover.workshop.visits.queries import JobSheet, StepLine, sheet_for


@dataclass(frozen=True)
class StepDrawing:
    """One drawing; `id` is the last part of its own address."""

    id: str
    title: str
    svg: SafeString


def step_drawings(sheet: JobSheet, line: StepLine) -> tuple[StepDrawing, ...]:
    """Every drawing of a step: of its reading, of its act, of its joint. None is shown twice."""
    step, found = line.step, []
    if line.limit and line.limit.drawing:
        found.append(_drawn("reading", f"Where to measure: {line.limit.title}", where_to_measure(line.limit)))
    act = next((act for act in sheet.sheet.acts if act.id == step.act_id), None)
    if act and act.drawing and not (line.limit and line.limit.drawing == act.drawing):
        figures = _limits(sheet, act.figures)
        found.append(_drawn("work", plate_title(act.drawing), plate(act.drawing, figures)))
    if step.joint:
        pieces, screws = joint_drawings(sheet, sheet.sheet.joint(step.joint))
        # Where a joint is opened or looked at, the order of its screws would only mislead.
        found += [pieces, screws] if step.gives_torque else [pieces]
    return tuple(found)


def joint_drawings(sheet: JobSheet, joint: Joint) -> tuple[StepDrawing, StepDrawing]:
    """The pieces of a joint in their order, and the order of its screws."""
    build = sheet.sheet.build(sheet.job.engine.build_id)
    aside = [p.part.title for p in sheet.lay_aside if p.part.id in _place_names(sheet, joint)]
    screws = f"Tightening order: {joint.title}"
    return (
        _drawn("pieces", f"{joint.title}: order of the pieces", stack(joint, build, aside)),
        _drawn("screws", screws, screw_pattern(joint.fasteners, screws)),
    )


def _drawn(name: str, title: str, svg: str) -> StepDrawing:
    return StepDrawing(name, title, mark_safe(svg))


def _limits(sheet: JobSheet, names: tuple[str, ...]) -> tuple[LimitRow, ...]:
    """Those of the limits that this build has."""
    here = {limit.id: limit for limit in sheet.sheet.limits}
    return tuple(here[name] for name in names if name in here)


def _place_names(sheet: JobSheet, joint: Joint) -> set[str]:
    """Parts that lie in this joint on any build, so that what is laid aside stands beside its joint."""
    whole = sheet_for(sheet.job.sheet).joint(joint.id)
    return {layer.part for layer in whole.stack if layer.part}

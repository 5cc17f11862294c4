"""Which steps of the shipped cards have a drawing: every critical one, but for a short list with reasons."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from tickover.sheets import Step, TypeSheet, shipped_sheets
from tickover.workshop.drawings import plate, screw_pattern, stack, where_to_measure

WITHOUT = {
    "belt-set-by-card": "done by the card of the belt, whose steps have drawings",
    "propeller-on": "done by the card of the propeller, whose steps have drawings",
    "drive-end-on": "done by the cards of belt, clutch or gearbox, whose steps have drawings",
    "reconnect": "by the photographs of this very machine",
    "loom": "a route of this very machine",
    "strike-decide": "a decision, and it is written",
    "seized": "a decision, and it is written",
    "storage-tag-read": "a tag is read",
}
"""Acts of critical steps that have no drawing, and why."""
WRONG_BEFORE = {
    "hook-diaphragm", "metering-gasket", "pump-diaphragm-on", "lever-height", "pop-off", "reseat", "needle-low-left",
    "needle-high-left", "plugs-in", "carburettor-on", "flange-torque", "pulse-hose-on", "look-through", "vent",
    "plug-gap", "plug-in", "flywheel-key-in", "pick-up-gap", "timing", "ring-gap", "ring-on", "circlips", "pin-in",
    "groove", "squish", "head-torque", "base-torque", "reed-gap", "seals-in", "bearings-in", "run-out-built",
    "big-end", "small-end", "belt-frequency-left", "belt-alignment-left", "clutch-springs-on", "gearbox-fill",
    "springs-wired", "fit-wood", "fit-composite", "tighten-wood", "tighten-composite", "locking", "track",
    "stop-proved", "make-safe", "ground-again", "restrain", "cable-slack", "pressure-loss", "vacuum-loss",
    "compression", "port-open",
}  # fmt: skip
"""What an apprentice gets wrong. Common practice, no source."""
FIGURE = re.compile(r"\d\s?(mm|bar|N·m|rpm|Hz|°C|deg|kgf|ohm|kohm|turns|g·mm|g\.mm|L/h)")


def builds() -> list[TypeSheet]:
    return [sheet.for_build(build.id) for sheet in shipped_sheets().values() for build in sheet.builds]


def drawings(sheet: TypeSheet, step: Step) -> list[str]:
    """As the page of the step shows them."""
    limits = {limit.id: limit for limit in sheet.limits}
    act = next(act for act in sheet.acts if act.id == step.act_id)
    found = []
    if step.reading and limits[step.reading].drawing:
        found.append(where_to_measure(limits[step.reading]))
    if act.drawing:
        found.append(plate(act.drawing, [limits[name] for name in act.figures if name in limits]))
    if step.joint:
        joint = sheet.joint(step.joint)
        found.append(stack(joint, sheet.builds[0]))
        found += [screw_pattern(joint.fasteners, joint.title)] if step.gives_torque else []
    return found


def test_every_critical_step_has_a_drawing_or_a_reason() -> None:
    bare = {
        step.act_id
        for sheet in builds()
        for card in sheet.cards
        for step in card.steps
        if step.critical and not drawings(sheet, step)
    }
    assert bare == set(WITHOUT)


def test_every_step_that_apprentices_get_wrong_has_a_drawing() -> None:
    met, bare = set(), set()
    for sheet in builds():
        for card in sheet.cards:
            for step in card.steps:
                if step.act_id in WRONG_BEFORE:
                    met.add(step.act_id)
                    bare |= set() if drawings(sheet, step) else {f"{sheet.id} {card.id} {step.id}"}
    assert met == WRONG_BEFORE
    assert not bare


def test_there_are_at_least_sixty_different_drawings_with_figures() -> None:
    with_figures, plates = set(), set()
    for sheet in builds():
        for card in sheet.cards:
            for step in card.steps:
                for svg in drawings(sheet, step):
                    texts = ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
                    if FIGURE.search(" ".join(text.text or "" for text in texts)):
                        with_figures.add(svg)
                    plates.add(svg)
    assert len(with_figures) >= 60
    assert len(plates) >= 120

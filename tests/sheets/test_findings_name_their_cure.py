"""Findings that keep the engine from release name the task that cures them; which name none, and why."""

from __future__ import annotations

from tickover.sheets import shipped_sheets

WITHOUT_A_TASK = {
    "the maker's figure is missing: asking for it is the cure": """
        drain-closed.unknown drive-on.no-figure fill.unknown flywheel-on.no-figure hub-nut.no-figure
        hub-tight.no-figure papers.gaps refit.no-figure tighten-composite.no-figure torque-composite.no-figure
        torque-found-composite.no-figure
    """,
    "something is missing and has to be found, which no task does": """
        caps-off.missing case-mouth.missing case-open.missing cylinder-empty.missing cylinder-off.score
        intake-open.missing petals-old.chip-missing plates-off.missing port-open.missing tools.missing
    """,
    "a new part, the maker, a shop or licensed practice: no task of the programme renews it": """
        arms.bent battery-look.swollen blades.composite-hit blades.wood-hit bridle.wrong cables.chafed cage.near
        charge-volts.over connectors.hangs core.cracked cracks.crack cracks-composite.star cracks-wood.crack
        dye.line faces-as-found.char faces-clean.oval fins-look.root frame.bent frame-lugs.crack
        frame-points.cracked harness.touched head.crack holes-composite.loose holes-wood.oval hub-metal.cracked
        key.taper labels.over leading-edges.deep liner.scored look.fin look-composite-hub.cracked look-in.soft
        look-wood-hub.crushed look-wood-hub.grain lugs.cracked net.cut off.crack pawls.cup pins.worn
        plating.bare port-edges.burr propeller-on.damaged pulleys.rough ring-gear.broken run-out.runs-out
        seat-look.body-bad shaft-run-out.bent shroud-look.missing straps.burn straps.thread tap.dull thread.torn
        tighten-wood.crushed tips.split tubes.dented wear.much welds.crack
    """,
    "put right at this step or by steps of this card, which are done again": """
        again-cold.keeps-turning backlash-left.wrong band-off.open base-torque.no-grip box-clean.changed
        butterfly.sticks cruise-lock.sticks drum.cracked engagement-left.close flywheel-off.slack
        fuel-open.drips head-torque.no-grip hub-nut.moved isolator.bridged joints-check.one leak-look.bubbles
        leak-look.wet locking.not-locked loom.bare other-stop.stuck pivots.worn pull-again.bad
        shroud-off.cracked soap.gasket stop-works.always stop-works.no-earth timing.off track.over-three
        travel-and-return.not try.stays vacuum-loss.both vent.blocked
    """,
    "the cause is not known yet: fault finding, not a task, comes next": """
        block-out.debris clear-of-cage.too-near compare.higher crown.pitted cylinder-off.four-corner
        cylinder-off.scuff-exhaust head-off.pitted hole.larger mounts.touches old-plug.white run-in.knock
        static-rpm.climbs warm.not-right warm-up.knock
    """,
    "which task cures it depends on what was found": """
        after-run.moved bolts-tried.turns close.left-open decide.open drive.damaged intake-and-exhaust.wrong
        next.tagged propeller-marks.moved safe-to-run.may-not
    """,
}
"""Steps and their findings, by the reason. The programme is that of the shipped sheets."""


def without_a_task() -> set[str]:
    """Steps and findings of all cards, on all builds, that forbid the release and name no task."""
    return {
        f"{step.id}.{finding.id}"
        for sheet in shipped_sheets().values()
        for build in sheet.builds
        for card in sheet.for_build(build.id).cards
        for step in card.steps
        for finding in step.findings
        if finding.action == "do not release" and finding.task is None
    }


def test_a_finding_that_forbids_the_release_names_its_cure_or_has_a_reason_why_not() -> None:
    with_a_reason = {name for names in WITHOUT_A_TASK.values() for name in names.split()}
    found = without_a_task()
    assert found - with_a_reason == set(), "name the task that cures these, or the reason why none does"
    assert with_a_reason - found == set(), "these name a task now, or are gone: take them off the list"


def test_no_finding_has_two_reasons() -> None:
    every = [name for names in WITHOUT_A_TASK.values() for name in names.split()]
    assert len(every) == len(set(every))


def test_the_cure_that_a_binding_finding_names_is_on_the_programme_of_that_engine() -> None:
    for sheet in shipped_sheets().values():
        for build in sheet.builds:
            one = sheet.for_build(build.id)
            known = {task.id for task in one.programme}
            for card in one.cards:
                for step in card.steps:
                    cures = {
                        f.task for f in step.findings if f.action in ("stop", "do not release") and f.task
                    }
                    assert cures <= known, (build.id, card.id, step.id)

"""Two rows of a sheet that contradict each other are told with file, table, key, line and a way out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Complaint = Callable[..., str]

A_LIMIT = 'id = "lever-height"\ntitle = "Metering'
A_PIECE = 'id = "diaphragm-kit"'
A_STEP = 'id = "lever-height"\nact'
THE_TASK = 'id = "diaphragm-service"\ntitle = "Carburettor diaphragm service"\nsystem'

CASES = {
    "a reading of a limit nobody wrote": (
        A_STEP,
        'reading = "lever-height"',
        'reading = "lever-hieght"',
        'cards.diaphragm-service.steps[25].reading: there is no limit called "lever-hieght"; '
        'did you mean "lever-height"?',
    ),
    "two limits of one name": (
        'id = "pop-off"\ntitle',
        'id = "pop-off"',
        'id = "lever-height"',
        'limits[2].id: the id "lever-height" is taken by row 1; choose another',
    ),
    "two steps of one name": (
        'id = "clear-the-air"\nact',
        'id = "clear-the-air"',
        'id = "make-safe"',
        'cards.diaphragm-service.steps[2].id: the id "make-safe" is taken by row 1; choose another',
    ),
    "two findings of one name": (
        'id = "complete"',
        'id = "piece-missing"',
        'id = "complete"',
        'cards.diaphragm-service.steps[7].findings[2].id: the id "complete" is taken by row 1',
    ),
    "an act that covers more than it proves": (
        'id = "petal-screws"\nobject',
        '"petal-screws-tried-done"',
        '"something-else"',
        '"petal-screws-tried" proves "petal-screws-tried-done", and this act does not',
    ),
    "an act with the figure of no limit": (
        'id = "restrain"\nobject',
        '"static-thrust"',
        '"static-trust"',
        'figures[1]: there is no limit called "static-trust"; did you mean "static-thrust"?',
    ),
    "a build nobody has": (
        'id = "pulse-hose-off"\nact',
        'builds = ["external-pulse"]',
        'builds = ["extrenal-pulse"]',
        'cards.diaphragm-service.steps[8].builds[1]: there is no build or trait called "extrenal-pulse"; '
        'did you mean "external-pulse"?',
    ),
    "no build, but not in a kit": (
        'id = "pulse-hose-off"\nact',
        'builds = ["external-pulse"]',
        'builds = ["none"]',
        'steps[8].builds[1]: there is no build or trait called "none"',
    ),
    "a build called none": (
        "[[builds]]",
        'id = "external-pulse"',
        'id = "none"',
        'builds[1].id: a build cannot be called "none"',
    ),
    "serial numbers the wrong way round": (
        "[[builds]]",
        "serial_to = 1499",
        "serial_to = 0",
        "builds.external-pulse.serial_to: 0 is below serial_from, 1; are they swapped?",
    ),
    "serial numbers of two builds": (
        "[[builds]]",
        "serial_to = 1499",
        "serial_to = 1500",
        'builds.internal-pulse.serial_from: shares serial numbers with the build "external-pulse"',
    ),
    "a limit that another build has": (
        A_LIMIT,
        'builds = ["face-datum"]',
        'builds = ["internal-pulse"]',
        'steps[25].reading: the limit "lever-height" does not hold for "external-pulse"',
    ),
    "a piece that no step fits": (
        'id = "fit-lever"',
        '"inlet-needle", ',
        "",
        'kits.diaphragm-kit.pieces[10]: no step fits "inlet-needle" on the build "external-pulse"; '
        'add a step, or say builds = ["none"] and why it is not used',
    ),
    "a step that fits what is laid aside": (
        'id = "pump-gasket-plain"\nact',
        'builds = ["external-pulse"]\n',
        "",
        '.fits[1]: "pump-gasket-plain" is not used on the build "internal-pulse", '
        "where this step would fit it",
    ),
    "a piece for no build and one build": (
        A_PIECE,
        'builds = ["none"]',
        'builds = ["none", "internal-pulse"]',
        'kits.diaphragm-kit.pieces[2].builds: "none" cannot be listed with a build',
    ),
    "a piece that is no part": (
        A_PIECE,
        'part = "inlet-screen"',
        'part = "inlet-scren"',
        'kits.diaphragm-kit.pieces[14].part: there is no part called "inlet-scren"; '
        'did you mean "inlet-screen"?',
    ),
    "a piece listed twice": (
        A_PIECE,
        'part = "inlet-needle-long"',
        'part = "inlet-needle"',
        'kits.diaphragm-kit.pieces[11].part: "inlet-needle" is in this kit twice; raise its quantity',
    ),
    "a layer that is no part": (
        'title = "Metering gasket",',
        'part = "metering-gasket-fibre"',
        'part = "metering-gasket"',
        'joints.metering-side.stack[3].part: there is no part called "metering-gasket"',
    ),
    "a hole the joint does not have": (
        'title = "Insulator block"\nkind',
        '"pulse"]',
        '"plse"]',
        'joints.intake-flange.stack[6].holes[2]: there is no hole called "plse"; did you mean "pulse"?',
    ),
    "a gasket that closes the pulse passage": (
        'title = "Flange gasket with pulse hole"\nkind = "gasket"',
        'holes = ["bore", "pulse"]',
        'holes = ["bore"]',
        'joints.intake-flange.stack[5].holes: this layer closes the hole "pulse" on the build',
    ),
    "a task without its card": (
        THE_TASK,
        'card = "diaphragm-service"',
        'card = "diaphragm"',
        'programme.diaphragm-service.card: there is no card called "diaphragm"; '
        'did you mean "diaphragm-service"?',
    ),
    "a task behind an opening nobody knows": (
        THE_TASK,
        '"carburettor-off"]',
        '"carburetor-off"]',
        'programme.diaphragm-service.access[2]: there is no access group called "carburetor-off"; '
        'did you mean "carburettor-off"?',
    ),
    "an opening before itself": (
        'id = "air-box-off"',
        "minutes = 6",
        'minutes = 6\nrequires = ["carburettor-off"]',
        'access.air-box-off.requires[1]: "air-box-off" would have to be open before itself',
    ),
    "an opening that needs one nobody knows": (
        'id = "carburettor-off"\ntitle = "Carburettor off',
        'requires = ["air-box-off"]',
        'requires = ["cowling"]',
        'access.carburettor-off.requires[1]: there is no access group called "cowling"; there is "outside", ',
    ),
    "an added task that no programme has": (
        'id = "carburettor-off"\nact',
        'action = "continue"',
        'action = "add task"\ntask = "flange-chek"',
        '.task: there is no task called "flange-chek"; did you mean "flange-check"?',
    ),
    "an added task that another build has": (
        'id = "carburettor-off"\nact',
        'action = "continue"',
        'action = "add task"\ntask = "electric-starter"',
        'the task "electric-starter" does not hold for "external-pulse", "internal-pulse", where this step is',
    ),
    "a tension without the span of its belt": (
        A_LIMIT,
        'unit = "mm"',
        'unit = "N"\ncomputed = "belt-tension"',
        'limits.lever-height.computed: "belt-tension" needs belt_span_m in the table geometry',
    ),
    "a pressure loss in millimetres": (
        A_LIMIT,
        'unit = "mm"',
        'unit = "mm"\ncomputed = "pressure-loss"',
        'limits.lever-height.unit: "pressure-loss" gives bar or mbar or kPa, not mm',
    ),
    "a card that another build has": (
        'id = "diaphragm-service"\ntitle = "Carburettor diaphragm service"\nsummary',
        'kit = "diaphragm-kit"',
        'builds = ["electric"]\nkit = "diaphragm-kit"',
        'programme.diaphragm-service.card: the card "diaphragm-service" does not hold for "external-pulse"',
    ),
    "a card whose kit nobody sells": (
        "consumables = [",
        'kit = "diaphragm-kit"',
        'kit = "diafragm-kit"',
        'cards.diaphragm-service.kit: there is no kit called "diafragm-kit"; did you mean "diaphragm-kit"?',
    ),
    "a step at a joint nobody drew": (
        'id = "pump-cover-off"',
        'joint = "pump-side"',
        'joint = "pump"',
        'cards.diaphragm-service.steps[10].joint: there is no joint called "pump"; did you mean "pump-side"?',
    ),
    "a step that throws away what is no part": (
        'id = "needle-tip"\nact',
        '"inlet-needle"',
        '"inlet-neddle"',
        'cards.diaphragm-service.steps[13].discards[1]: there is no part called "inlet-neddle"; '
        'did you mean "inlet-needle"?',
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_contradiction_is_told_with_its_place(case: str, complaint: Complaint) -> None:
    after, old, new, expected = CASES[case]
    told = complaint(after, old, new)
    assert told.startswith("velisk-185.toml, ")
    assert expected in told
    assert "(line " in told

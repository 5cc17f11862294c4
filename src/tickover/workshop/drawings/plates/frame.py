"""Frame, mounts and what was found after a strike."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen


def rubber_block(pen: Pen) -> None:
    """A silent block: bond, rubber, stud; sound, and torn at the bond."""
    for x, good in ((20, True), (200, False)):
        pen.box(x + 50, 18, 30, 16, fill="shade")
        pen.box(x, 34, 130, 14, fill="shade")
        pen.shape((x + 12, 48), (x + 118, 48), (x + 124, 80), (x + 118, 112), (x + 12, 112), (x + 6, 80))
        pen.box(x, 112, 130, 14, fill="shade")
        if not good:
            pen.line((x + 10, 50), (x + 40, 54), (x + 66, 50), style="signal")
            pen.line((x + 118, 70), (x + 96, 84), style="signal")
        (pen.right if good else pen.wrong)(x + 66, 82)
        pen.say(x, 148, "bond whole all round" if good else "bond open, rubber torn:")
        pen.say(x, 164, "while it is rocked" if good else "renew")


def crack_places(pen: Pen) -> None:
    """Where plates and tubes crack: both ends of a weld, the edge of a hole."""
    pen.box(14, 100, 220, 24)
    pen.shape((90, 100), (100, 30), (130, 30), (140, 100))
    pen.line((78, 100), (84, 94), (92, 98), style="track")
    pen.line((138, 98), (146, 94), (152, 100), style="track")
    pen.line((76, 100), (64, 112), style="signal")
    pen.line((154, 100), (166, 112), style="signal")
    pen.ring(204, 112, 9, fill="paper")
    pen.line((212, 106), (228, 100), style="signal")
    pen.point((160, 106), 200, 60, "both ends of each weld")
    pen.point((222, 102), 260, 90, "edge of a hole")
    pen.say(8, 20, "clean, lamp and lens")
    pen.say(8, 150, "a light line, a rust line, paint that has cracked:")
    pen.say(8, 166, "dye where it may be only a scratch")


def arm_play(pen: Pen) -> None:
    """A swing arm moved up, down and sideways at its end."""
    pen.box(14, 60, 40, 80, fill="shade")
    pen.ring(54, 100, 14)
    pen.ring(54, 100, 5, fill="solid")
    pen.shape((66, 92), (280, 84), (280, 104), (66, 108))
    pen.arrow((262, 78), (262, 46))
    pen.arrow((262, 110), (262, 142))
    pen.arrow((286, 94), (330, 94))
    pen.point((54, 100), 90, 150, "bush and bolt")
    pen.say(8, 24, "loaded by hand, through the whole travel")


def strap_places(pen: Pen) -> None:
    """Straps and seams: under buckles, where it meets metal, at the stitches."""
    pen.shape((10, 76), (340, 76), (340, 112), (10, 112))
    for n in range(7):
        pen.line((40 + 8 * n, 80), (44 + 8 * n, 108), style="ink")
    pen.box(170, 64, 40, 60, fill="", edge="track")
    pen.line((300, 76), (306, 82), (298, 88), style="signal")
    pen.line((250, 76), (256, 72), (262, 78), (268, 72), style="signal")
    pen.point((66, 80), 66, 46, "seam", "middle")
    pen.point((190, 64), 176, 34, "under the buckle", "middle")
    pen.point((302, 82), 352, 50, "cut, fuzz", "end")
    pen.say(8, 146, "both sides; fuzz, cuts, glaze, stains, loose thread:")
    pen.say(8, 164, "only written down; the harness maker decides")


def bridle_free(pen: Pen) -> None:
    """The reserve's bridle from container to attachment, free all the way."""
    pen.box(14, 70, 90, 70)
    pen.say(59, 100, "container,", "middle")
    pen.say(59, 116, "not opened", "middle")
    pen.line((104, 90), (160, 60), (230, 56), (290, 74), style="track")
    pen.ring(298, 78, 9, fill="shade")
    pen.oval(200, 130, 8, 40)
    pen.say(214, 150, "propeller")
    pen.point((230, 56), 230, 30, "nothing over it, clear of the propeller", "middle")
    pen.point((298, 78), 352, 116, "connector closed", "end")


def whole_turn(pen: Pen) -> None:
    """After a strike: what a stopped propeller may have bent, from the tip to the flywheel."""
    pen.box(20, 76, 40, 40, fill="shade")
    pen.box(60, 88, 50, 16)
    pen.box(110, 70, 60, 52, fill="shade")
    pen.box(170, 88, 60, 16)
    pen.box(230, 72, 20, 48)
    pen.oval(262, 96, 6, 54)
    for number, (x, y) in enumerate(
        ((262, 52), (240, 96), (200, 96), (140, 96), (86, 96), (40, 96)), start=1
    ):
        pen.ring(x, y, 10, fill="paper", edge="signal")
        pen.say(x, y + 5, str(number), "middle")
    pen.say(8, 22, "1 blades  2 hub  3 shaft")
    pen.say(8, 42, "4 gears, belt or clutch")
    pen.say(8, 150, "5 crank: run-out at both ends")
    pen.say(8, 168, "6 flywheel, key, nut: it runs on when the shaft stops")
    pen.figure(352, 20, anchor="end", before="5: ")

"""Ignition and starter: plug, cap, pick-up, timing, flywheel key, starter motor."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen, around


def plug_gap(pen: Pen) -> None:
    """Firing end of the plug from the side, with the wire in the gap."""
    pen.drawing.path([(96, 36), (206, 36), (206, 140), (96, 140)], "soft", closed=True)
    for n in range(7):
        pen.drawing.line((96, 42 + 15 * n), (206, 34 + 15 * n), "hair")
    pen.drawing.path([(96, 36), (206, 36)], "edge")
    pen.drawing.path([(206, 36), (206, 140), (96, 140), (96, 36)], "edge")
    pen.drawing.path([(206, 66), (206, 110), (226, 96), (226, 80)], "edge", closed=True)
    pen.drawing.path([(206, 80), (238, 80), (238, 96), (206, 96)], "edge", closed=True)
    pen.drawing.path(
        [(206, 124), (262, 124), (262, 78), (250, 78), (250, 112), (206, 112)], "edge", closed=True
    )
    pen.drawing.ellipse((244, 88), 5, 5, "signal-solid")
    pen.drawing.line((244, 84), (300, 40), "hair")
    pen.drawing.text((352, 34), "wire gauge", anchor="end")
    pen.figure(352, 16, anchor="end")
    pen.drawing.line((256, 124), (296, 148), "hair")
    pen.drawing.text((352, 152), "bend only", anchor="end")
    pen.drawing.text((352, 168), "this one", anchor="end")


def plug_torque(pen: Pen) -> None:
    """The plug in the head with its sealing ring, by hand first."""
    pen.shape((60, 110), (140, 110), (140, 160), (60, 160), fill="shade")
    pen.shape((180, 110), (260, 110), (260, 160), (180, 160), fill="shade")
    pen.box(142, 110, 36, 56)
    for n in range(6):
        pen.line((142, 116 + 8 * n), (178, 112 + 8 * n), style="ink")
    pen.box(132, 100, 56, 10, fill="shade")
    pen.box(126, 70, 68, 30)
    pen.box(148, 20, 24, 50)
    pen.point((134, 105), 76, 92, "sealing ring", "end")
    pen.say(76, 140, "head")
    pen.turn((160, 54), 46, -40, 60)
    pen.figure(352, 24, anchor="end")
    pen.say(352, 42, "head cold, thread dry", "end")
    pen.say(352, 100, "three turns", "end")
    pen.say(352, 116, "by hand first", "end")


def plug_colour(pen: Pen) -> None:
    """Firing end: where the colour is read."""
    pen.ring(90, 86, 70)
    pen.ring(90, 86, 52, fill="")
    pen.ring(90, 86, 26, fill="shade")
    pen.ring(90, 86, 9, fill="solid")
    pen.box(82, 12, 16, 64, fill="soft")
    pen.point((106, 96), 186, 40, "insulator: the colour")
    pen.say(186, 58, "brown to grey is usual")
    pen.point((140, 100), 186, 100, "ring: how the idle burns")
    pen.say(186, 132, "beads, white blisters:")
    pen.say(186, 148, "too hot, stop and look")


def cap_resistance(pen: Pen) -> None:
    """Ohmmeter through the plug cap, off the lead."""
    pen.shape((120, 70), (226, 70), (226, 46), (258, 46), (258, 110), (120, 110))
    pen.line(
        (132, 90), (150, 90), (156, 80), (166, 100), (176, 80), (186, 100), (192, 90), (242, 90), style="ink"
    )
    pen.ring(128, 90, 5, fill="solid")
    pen.ring(242, 54, 5, fill="solid")
    pen.line((242, 54), (242, 90), style="ink")
    pen.box(20, 120, 70, 40)
    pen.say(55, 144, "meter", "middle")
    pen.line((40, 120), (40, 90), (124, 90), style="track")
    pen.line((90, 146), (300, 146), (300, 54), (247, 54), style="track")
    pen.point((128, 86), 116, 60, "terminal", "end")
    pen.point((246, 50), 352, 34, "lead screw", "end")
    pen.figure(8, 22)
    pen.say(8, 40, "off the lead, cold")


def pick_up_gap(pen: Pen) -> None:
    """Feeler that is not magnetic between pole and magnet."""
    pen.arc((130, 260), 170, -38, 38)
    pen.shape((96, 96), (110, 92), (150, 92), (164, 96), (160, 120), (100, 120), fill="shade")
    pen.say(130, 112, "magnet", "middle")
    pen.say(130, 160, "flywheel", "middle")
    pen.box(104, 20, 52, 58)
    pen.say(130, 46, "pole", "middle")
    pen.shape((60, 82), (206, 82), (206, 87), (60, 87), fill="signal-solid", edge="hair")
    pen.down_to(190, 78, 92)
    pen.figure(352, 40, anchor="end")
    pen.say(352, 58, "at each pole", "end")
    pen.point((206, 85), 234, 104, "brass feeler:")
    pen.say(234, 120, "not magnetic")


def timing(pen: Pen) -> None:
    """Degree wheel: from top centre back to the mark."""
    centre = (96.0, 96.0)
    pen.ring(*centre, 72)
    for deg in range(0, 360, 10):
        pen.line(around(centre, 72, deg), around(centre, 66 if deg % 30 else 60, deg), style="hair")
    pen.ring(*centre, 10, fill="shade")
    pen.line(centre, around(centre, 78, 0))
    pen.line(centre, around(centre, 78, -32), style="signal")
    pen.turn(centre, 50, 0, -30)
    pen.say(108, 18, "top centre")
    pen.say(8, 24, "mark")
    pen.figure(352, 66, anchor="end")
    pen.say(352, 84, "before top centre", "end")
    pen.say(352, 120, "1  top by a piston stop", "end")
    pen.say(352, 138, "2  back to the mark, against", "end")
    pen.say(352, 154, "the way it runs", "end")


def flywheel_key(pen: Pen) -> None:
    """The key in the taper: down and square; or tipped up at one end."""
    for x, good in ((10, True), (190, False)):
        pen.shape((x, 70), (x + 20, 70), (x + 130, 84), (x + 130, 116), (x + 20, 130), (x, 130))
        pen.line((x + 8, 100), (x + 140, 100), style="dash")
        pen.box(x + 52, 78, 44, 8, fill="", edge="ink")
        if good:
            pen.shape((x + 54, 66), (x + 94, 66), (x + 94, 86), (x + 54, 86), fill="shade")
        else:
            pen.shape((x + 52, 46), (x + 92, 62), (x + 92, 82), (x + 56, 86), fill="shade")
        (pen.right if good else pen.wrong)(x + 122, 52)
        pen.say(x, 150, "down in its slot, square" if good else "tipped: it lifts the hub,")
        pen.say(x, 166, "taper clean and dry" if good else "timing and nut go")
    pen.point((62, 74), 20, 30, "key")


def spark_ready(pen: Pen) -> None:
    """Plug in its cap, earthed on the engine, away from the covered plug hole."""
    pen.box(14, 100, 250, 50)
    pen.say(30, 134, "engine")
    pen.shape((40, 92), (90, 84), (110, 100), (30, 100), fill="shade")
    pen.point((64, 92), 8, 66, "plug hole: cloth over it")
    pen.box(206, 62, 20, 38, fill="shade")
    pen.box(198, 24, 36, 40)
    pen.line((234, 40), (330, 30), style="track")
    pen.point((216, 92), 268, 88, "plug in its cap,")
    pen.say(268, 104, "earthed, away")
    pen.say(268, 120, "from the hole")
    pen.say(8, 20, "fuel closed, spills wiped, moving air")


def starter_pinion(pen: Pen) -> None:
    """Pinion clear of the ring gear at rest."""
    centre = (110.0, 250.0)
    for n in range(-5, 6):
        tip = [around(centre, r, 6 * n + d) for r, d in ((160, -2.2), (172, -1), (172, 1), (160, 2.2))]
        pen.line(*tip)
        pen.line(tip[-1], around(centre, 160, 6 * n + 3.8))
    pen.say(110, 140, "ring gear", "middle")
    pen.box(150, 40, 40, 26, fill="shade")
    pen.box(190, 24, 100, 58)
    pen.say(240, 58, "motor", "middle")
    pen.box(184, 30, 6, 46, fill="solid")
    pen.point((187, 34), 120, 22, "its shims", "end")
    pen.point((160, 66), 216, 108, "pinion free of the")
    pen.say(216, 124, "ring at rest")
    pen.figure(352, 160, anchor="end")


def battery_off(pen: Pen) -> None:
    """The plug of the battery drawn, tied back and tagged."""
    pen.box(14, 60, 110, 80)
    pen.say(69, 104, "battery", "middle")
    pen.line((124, 84), (166, 84))
    pen.box(166, 72, 26, 24, fill="shade")
    pen.box(250, 92, 26, 24, fill="shade")
    pen.line((276, 104), (320, 104), (320, 140))
    pen.arrow((196, 88), (244, 100))
    pen.ring(292, 104, 9, fill="", edge="signal")
    pen.point((292, 113), 352, 158, "tied back, tagged", "end")
    pen.say(150, 50, "plug drawn")
    pen.say(8, 20, "nobody can put it in meanwhile")

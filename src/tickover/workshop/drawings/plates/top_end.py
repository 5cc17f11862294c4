"""Top end: squish, ring, piston, circlips, bore, head faces, compression, reeds."""

from __future__ import annotations

import math

from tickover.workshop.drawings.plates.pen import Pen, around


def squish(pen: Pen) -> None:
    """Section through the cylinder along the piston pin, piston at top dead centre."""
    pen.drawing.path([(80, 172), (80, 84), (96, 84), (96, 172)], "soft", closed=True)
    pen.drawing.path([(264, 172), (264, 84), (280, 84), (280, 172)], "soft", closed=True)
    head = [(70, 84), (70, 30), (290, 30), (290, 84), (264, 84), (226, 80)]
    dome = [(180 + 46 * math.cos(a), 80 - 34 * math.sin(a)) for a in [math.pi * n / 16 for n in range(17)]]
    pen.drawing.path([*head, *dome, (134, 80), (96, 84)], "soft", closed=True)
    pen.drawing.path([(96, 84), (134, 80), *reversed(dome), (226, 80), (264, 84)], "edge")
    pen.drawing.line((96, 84), (96, 172), "edge")
    pen.drawing.line((264, 84), (264, 172), "edge")
    pen.drawing.path([(98, 172), (98, 101), (134, 96), (226, 96), (262, 101), (262, 172)], "edge")
    pen.drawing.path([(112, 140), (248, 140), (248, 160), (112, 160)], "dash", closed=True)
    pen.drawing.text((180, 154), "piston pin", anchor="middle")
    for wall, inside in ((99, 150), (261, 210)):
        pen.drawing.line((wall, 92), (inside, 88), "signal")
    pen.down_to(112, 84, 98)
    pen.down_to(248, 84, 98)
    pen.figure(180, 20, anchor="middle")
    pen.drawing.line((102, 86), (52, 60), "hair")
    pen.drawing.text((8, 40), "solder")
    pen.drawing.text((8, 56), "to the wall")
    pen.drawing.line((258, 86), (308, 60), "hair")
    pen.drawing.text((352, 40), "the other", anchor="end")
    pen.drawing.text((352, 56), "side too", anchor="end")


def ring_gap(pen: Pen) -> None:
    """The ring pushed square into the bore by the piston; the feeler at its ends."""
    pen.shape((20, 20), (40, 20), (40, 150), (20, 150), fill="shade")
    pen.shape((150, 20), (170, 20), (170, 150), (150, 150), fill="shade")
    pen.box(40, 46, 110, 8, fill="solid")
    pen.box(42, 58, 106, 70)
    pen.say(95, 98, "piston", "middle")
    pen.arrow((95, 156), (95, 132))
    pen.say(95, 170, "pushes the ring square", "middle")
    pen.arc((270, 94), 50, 12, 348)
    pen.arc((270, 94), 42, 14, 346)
    pen.line(around((270, 94), 42, 14), around((270, 94), 50, 12))
    pen.line(around((270, 94), 42, -14), around((270, 94), 50, -12))
    pen.across_to(48, 259, 281)
    pen.point((270, 48), 352, 36, "feeler", "end")
    pen.figure(352, 18, anchor="end")
    pen.say(270, 90, "gap over", "middle")
    pen.say(270, 106, "bore", "middle")
    pen.say(352, 170, "above the ports", "end")


def ring_on(pen: Pen) -> None:
    """The ring's ends at the peg, its mark up."""
    pen.box(20, 50, 320, 22)
    pen.box(20, 104, 320, 50)
    pen.box(26, 72, 308, 32, fill="shade", edge="ink")
    pen.shape((26, 76), (160, 76), (160, 84), (172, 84), (172, 100), (26, 100))
    pen.shape((334, 76), (200, 76), (200, 84), (188, 84), (188, 100), (334, 100))
    pen.ring(180, 92, 6, fill="solid")
    pen.point((180, 96), 180, 146, "peg between both ends", "middle")
    pen.point((70, 80), 8, 28, "mark up, to the crown")
    pen.say(60, 93, "T")
    pen.say(352, 28, "free in its groove all round", "end")
    pen.say(8, 172, "opened no wider than needed")


def ring_groove(pen: Pen) -> None:
    """Feeler above the ring in its groove."""
    pen.shape((60, 20), (200, 20), (200, 54), (140, 54), (140, 110), (200, 110), (200, 160), (60, 160))
    pen.say(70, 96, "piston")
    pen.box(144, 72, 66, 38, fill="shade")
    pen.say(158, 96, "ring")
    pen.shape((150, 58), (262, 58), (262, 66), (150, 66), fill="signal-solid", edge="hair")
    pen.down_to(236, 54, 71)
    pen.figure(352, 26, anchor="end")
    pen.point((262, 62), 282, 66, "feeler")
    pen.say(352, 110, "new ring,", "end")
    pen.say(352, 126, "clean groove,", "end")
    pen.say(352, 142, "all round", "end")


def circlip(pen: Pen) -> None:
    """The open end of a circlip up or down, never sideways."""
    for x, deg, good, words in (
        (62, 0, True, "up"),
        (180, 180, True, "or down"),
        (298, 90, False, "never sideways"),
    ):
        pen.ring(x, 76, 46, fill="shade")
        pen.ring(x, 76, 38, fill="paper")
        pen.arc((x, 76), 41, deg + 28, deg + 332, "signal")
        (pen.right if good else pen.wrong)(x, 78)
        pen.say(x, 148, words, "middle")
    pen.say(180, 18, "piston up; open end of the circlip:", "middle")
    pen.say(180, 168, "new ones; turn each in its groove with a pick", "middle")


def piston_arrow(pen: Pen) -> None:
    """The piston from above: its arrow to the exhaust."""
    pen.ring(150, 92, 66)
    pen.line((60, 92), (240, 92), style="dash")
    pen.line((150, 74), (150, 128), style="track")
    pen.arrow((150, 112), (150, 138))
    pen.say(246, 96, "pin")
    pen.shape((118, 160), (182, 160), (192, 174), (108, 174), fill="shade")
    pen.say(226, 172, "exhaust port")
    pen.point((150, 84), 352, 24, "arrow on the crown to the exhaust", "end")
    pen.say(352, 126, "bearing first,", "end")
    pen.say(352, 142, "pin by hand", "end")


def bore_six(pen: Pen) -> None:
    """Bore gauge: three heights, two ways."""
    pen.shape((30, 16), (50, 16), (50, 160), (30, 160), fill="shade")
    pen.shape((150, 16), (170, 16), (170, 160), (150, 160), fill="shade")
    for number, y in enumerate((36, 86, 138), start=1):
        pen.arrow((100, y), (52, y))
        pen.arrow((100, y), (148, y))
        pen.say(104, y - 6, str(number), "middle")
    pen.ring(256, 92, 44)
    for deg, name in ((0, "along the pin"), (90, "across")):
        pen.line(around((256, 92), 44, deg), around((256, 92), 44, deg + 180), style="signal")
        at = around((256, 92), 54, deg)
        pen.say(at[0], at[1] + (4 if deg else 0), name, "start" if deg else "middle")
    pen.figure(352, 20, anchor="end")
    pen.say(352, 158, "six readings, all written", "end")
    pen.say(352, 174, "clean, one temperature", "end")


def piston_clearance(pen: Pen) -> None:
    """Smallest bore less piston across the pin at the maker's height."""
    pen.box(14, 40, 14, 110, fill="shade")
    pen.box(110, 40, 14, 110, fill="shade")
    pen.arrow((69, 92), (29, 92))
    pen.arrow((69, 92), (109, 92))
    pen.say(69, 168, "smallest bore", "middle")
    pen.say(142, 98, "less", "middle")
    pen.shape((186, 56), (262, 56), (264, 146), (184, 146))
    pen.ring(224, 84, 11, fill="paper")
    pen.arrow((160, 128), (184, 128))
    pen.arrow((288, 128), (264, 128))
    pen.say(224, 168, "piston", "middle")
    pen.point((224, 84), 224, 44, "pin", "middle")
    pen.figure(352, 22, anchor="end")
    pen.say(352, 84, "across", "end")
    pen.say(352, 100, "the pin,", "end")
    pen.say(352, 150, "at the maker's", "end")
    pen.say(352, 166, "height", "end")
    pen.say(8, 22, "both at one temperature")


def face_flat(pen: Pen) -> None:
    """Straightedge over both diagonals and the edges, the feeler below."""
    pen.box(14, 30, 150, 120)
    pen.ring(89, 90, 34, fill="paper")
    for x, y in ((32, 48), (146, 48), (32, 132), (146, 132)):
        pen.ring(x, y, 7, fill="paper")
    pen.line((14, 30), (164, 150), style="signal")
    pen.line((164, 30), (14, 150), style="signal")
    pen.line((14, 30), (164, 30), (164, 150), (14, 150), (14, 30), style="signal")
    pen.box(196, 78, 156, 22, fill="shade")
    pen.line((196, 104), (230, 106), (270, 110), (310, 106), (352, 104))
    pen.line((196, 150), (352, 150), style="ink")
    pen.shape((252, 101), (290, 101), (290, 106), (252, 106), fill="signal-solid", edge="hair")
    pen.point((276, 104), 276, 138, "thickest feeler that goes in", "middle")
    pen.say(274, 94, "straightedge", "middle")
    pen.figure(352, 24, anchor="end")
    pen.say(352, 42, "face clean", "end")


def carbon(pen: Pen) -> None:
    """Where carbon grows: crown and upper edge of the exhaust port."""
    pen.shape((40, 20), (60, 20), (60, 160), (40, 160), fill="shade")
    pen.shape((180, 20), (200, 20), (200, 70), (180, 70), fill="shade")
    pen.shape((180, 118), (200, 118), (200, 160), (180, 160), fill="shade")
    pen.shape((62, 84), (178, 84), (178, 160), (62, 160))
    pen.shape((62, 84), (80, 78), (110, 75), (140, 79), (178, 84), fill="solid")
    pen.shape((178, 70), (178, 80), (188, 76), (206, 78), (206, 70), fill="solid")
    pen.point((120, 79), 120, 48, "crown", "middle")
    pen.point((192, 74), 216, 56, "port's upper edge")
    pen.say(216, 100, "exhaust port")
    pen.figure(352, 20, anchor="end")
    pen.say(216, 132, "a pin of known")
    pen.say(216, 148, "thickness next to it")


def cloth_count(pen: Pen) -> None:
    """Cloths and caps counted in, counted out, and a lamp into the hole."""
    for x, words in ((14, "counted in"), (134, "counted out")):
        pen.box(x, 50, 96, 66)
        for n in range(3):
            pen.shape(
                (x + 10 + 28 * n, 66),
                (x + 30 + 28 * n, 62),
                (x + 32 + 28 * n, 96),
                (x + 8 + 28 * n, 100),
                fill="shade",
            )
            pen.say(x + 20 + 28 * n, 86, str(n + 1), "middle")
        pen.say(x + 48, 138, words, "middle")
    pen.say(122, 88, "=", "middle")
    pen.ring(298, 84, 40, fill="shade")
    pen.ring(298, 84, 30, fill="paper")
    pen.shape((262, 20), (278, 12), (288, 40), (278, 44))
    for n in range(3):
        pen.line((284, 46), (288 + 12 * n, 92), style="hair")
    pen.say(298, 142, "lamp into", "middle")
    pen.say(298, 158, "the opening", "middle")
    pen.say(8, 24, "same number out as went in")
    pen.say(8, 166, "a second person counts and looks")


def compression(pen: Pen) -> None:
    """Gauge in the plug hole by a short hose, throttle wide open."""
    pen.gauge(70, 52, 32, needle=60)
    pen.line((70, 84), (70, 104), (150, 104), (150, 112), style="track")
    pen.box(138, 112, 24, 22, fill="shade")
    pen.shape((100, 134), (200, 134), (200, 170), (100, 170))
    pen.say(150, 160, "plug hole", "middle")
    pen.point((142, 122), 126, 128, "valve at this end", "end")
    pen.ring(290, 112, 30)
    pen.line((260, 112), (320, 112), style="track")
    pen.say(290, 160, "throttle wide open", "middle")
    pen.figure(352, 24, anchor="end")
    pen.say(352, 42, "until the needle stays", "end")


def reed_gap(pen: Pen) -> None:
    """Petals hang free and dry; the feeler at each tip, nothing pressed."""
    pen.shape((60, 24), (140, 24), (100, 150), (84, 150))
    pen.line((56, 26), (78, 152), style="track")
    pen.line((144, 26), (108, 152), style="track")
    pen.point((57, 30), 8, 20, "petal")
    pen.shape((40, 144), (80, 150), (79, 156), (38, 150), fill="signal-solid", edge="hair")
    pen.point((42, 148), 8, 170, "feeler at the tip")
    pen.figure(352, 40, anchor="end")
    pen.say(352, 58, "widest of all petals", "end")
    pen.say(352, 94, "block hung, petals free", "end")
    pen.say(352, 112, "never press or bend one", "end")


def reed_stop(pen: Pen) -> None:
    """Height of the stop over the petal's tip, from the seat."""
    pen.box(20, 128, 250, 24, fill="shade")
    pen.say(90, 146, "seat", "middle")
    pen.line((30, 124), (250, 124), style="track")
    pen.line((30, 120), (110, 112), (180, 90), (240, 54))
    pen.ring(44, 108, 9)
    pen.line((236, 54), (318, 54), style="hair")
    pen.line((250, 128), (318, 128), style="hair")
    pen.line((300, 54), (300, 128), style="signal")
    pen.arrow((300, 90), (300, 55))
    pen.arrow((300, 90), (300, 127))
    pen.point((160, 98), 90, 72, "stop", "middle")
    pen.point((200, 124), 150, 172, "petal", "middle")
    pen.figure(352, 24, anchor="end")
    pen.say(352, 42, "edge of the stop over the tip", "end")

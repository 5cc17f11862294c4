"""Propeller: track, hub, bolts and locking, cracks, balance."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen, around


def blade_track(pen: Pen) -> None:
    """The propeller edge on, turned by hand past a pointer that does not move."""
    pen.drawing.path([(150, 76), (196, 76), (196, 104), (150, 104)], "soft", closed=True)
    pen.drawing.path([(150, 76), (196, 76), (196, 104), (150, 104)], "edge", closed=True)
    pen.drawing.line((60, 90), (150, 90), "dash")
    pen.drawing.text((8, 84), "shaft")
    pen.drawing.path([(168, 76), (176, 20), (181, 20), (182, 76)], "edge", closed=True)
    pen.drawing.path([(168, 104), (172, 164), (177, 164), (182, 104)], "edge", closed=True)
    pen.drawing.path([(168, 76), (170, 20), (175, 20), (182, 76)], "dash", closed=True)
    pen.drawing.path(
        [(184, 30), (200, 25), (290, 25), (290, 172), (282, 172), (282, 35), (200, 35)], "soft", closed=True
    )
    pen.drawing.line((262, 172), (310, 172), "edge")
    pen.drawing.text((274, 120), "pointer,", anchor="end")
    pen.drawing.text((274, 136), "does not move", anchor="end")
    pen.across_to(10, 172, 179)
    pen.figure(150, 20, anchor="end")
    pen.drawing.text((150, 38), "between the highest", anchor="end")
    pen.drawing.text((150, 54), "and the lowest tip", anchor="end")


def locking(pen: Pen) -> None:
    """Bolt heads wired so that the wire pulls them tight, and paint over bolt and plate."""
    pen.box(20, 40, 220, 110)
    for x in (80, 180):
        pen.nut(x, 92, 24)
    pen.line((98, 80), (162, 104), style="signal")
    pen.line((98, 84), (162, 108), style="signal")
    pen.turn((80, 92), 34, -60, 40)
    pen.turn((180, 92), 34, -60, 40)
    pen.line((60, 112), (50, 136), style="track")
    pen.line((200, 112), (210, 136), style="track")
    pen.point((212, 138), 258, 152, "paint over bolt")
    pen.say(258, 168, "and plate")
    pen.say(258, 60, "the wire pulls")
    pen.say(258, 76, "toward tighter")
    pen.say(8, 20, "wire, locking nut or plate: one kind, as the hub is designed")


def hub_faces(pen: Pen) -> None:
    """The faces of hub and propeller: what each mark says."""
    pen.ring(90, 92, 76)
    pen.ring(90, 92, 22, fill="paper")
    for n in range(6):
        pen.ring(*around((90, 92), 50, 60 * n), 9, fill="paper")
    pen.arc((90, 92), 50, 14, 46, "signal")
    pen.arc((90, 92), 62, 100, 140, "signal")
    pen.arc((90, 92), 36, 120, 180, "signal")
    pen.point(around((90, 92), 50, 30), 196, 30, "brown dust: fretting")
    pen.point(around((90, 92), 62, 112), 196, 112, "bright ridge: it slipped")
    pen.point(around((90, 92), 36, 150), 196, 152, "black: char, wood burnt")
    pen.say(196, 66, "look before wiping,")
    pen.say(196, 82, "photograph")


def hub_cracks(pen: Pen) -> None:
    """Where a hub cracks: radii, threads, key slot."""
    pen.shape((20, 70), (70, 70), (70, 30), (100, 30), (100, 60), (220, 60), (220, 120), (100, 120), (100, 150),
              (70, 150), (70, 110), (20, 110))  # fmt: skip
    pen.box(150, 60, 40, 12, fill="paper")
    for n in range(5):
        pen.line((26 + 8 * n, 70), (30 + 8 * n, 110), style="ink")
    for number, (x, y) in enumerate(((100, 60), (100, 120), (150, 72), (44, 90)), start=1):
        pen.ring(x, y, 11, fill="paper", edge="signal")
        pen.say(x, y + 5, str(number), "middle")
    pen.say(236, 40, "1, 2  radius")
    pen.say(236, 60, "3  key slot")
    pen.say(236, 80, "4  thread")
    pen.say(236, 116, "clean, by lens,")
    pen.say(236, 132, "dye where in doubt")


def wood_cracks(pen: Pen) -> None:
    """A wooden blade: cracks along and across the grain; the wood round the hub."""
    pen.shape((20, 70), (90, 64), (330, 50), (346, 90), (330, 116), (90, 118), (20, 112))
    pen.ring(54, 92, 18, fill="paper")
    for x, y in ((34, 74), (74, 74), (34, 108), (74, 108)):
        pen.ring(x, y, 5, fill="solid")
    for n in range(4):
        pen.line((110, 74 + 10 * n), (330, 66 + 11 * n), style="hair")
    pen.line((160, 84), (210, 81), (250, 83), style="signal")
    pen.line((290, 62), (284, 80), (290, 100), style="signal")
    pen.arc((54, 92), 26, 40, 140, "signal")
    pen.point((200, 82), 180, 30, "along the grain", "middle")
    pen.point((287, 90), 352, 144, "across the grain: stop", "end")
    pen.point((80, 92), 8, 150, "hub and bolts: crush,")
    pen.say(8, 166, "char, rust stain")


def composite_look(pen: Pen) -> None:
    """A composite blade: white line at the root, blister, open edge."""
    pen.shape(
        (20, 76), (80, 76), (120, 56), (330, 44), (348, 84), (330, 120), (120, 124), (80, 106), (20, 106)
    )
    pen.line((84, 78), (92, 106), style="signal")
    pen.oval(200, 88, 18, 9, fill="shade", edge="signal")
    pen.line((270, 121), (296, 124), (316, 120), style="signal")
    pen.point((88, 90), 60, 34, "root: white line", "middle")
    pen.point((200, 80), 230, 26, "blister", "middle")
    pen.point((294, 124), 352, 152, "edge: bond open", "end")
    pen.say(8, 150, "twist lightly at the")
    pen.say(8, 166, "root, watch the place")


def bolt_holes(pen: Pen) -> None:
    """A bolt hole measured two ways; its bush firm."""
    pen.box(14, 40, 190, 110)
    pen.ring(110, 95, 44, fill="shade")
    pen.ring(110, 95, 34, fill="paper")
    pen.line((76, 95), (144, 95), style="signal")
    pen.line((110, 61), (110, 129), style="signal")
    pen.say(128, 90, "1")
    pen.say(114, 80, "2")
    pen.point((148, 118), 224, 140, "bush: none turns,")
    pen.say(224, 156, "none above the others")
    pen.say(224, 60, "1  across the blade")
    pen.say(224, 80, "2  along the blade")
    pen.say(8, 24, "calliper in two directions, written for each hole")


def balance(pen: Pen) -> None:
    """The propeller level on its balancer by a small weight at a radius."""
    pen.shape((160, 150), (200, 150), (184, 96), (176, 96), fill="shade")
    pen.shape((20, 84), (160, 80), (200, 80), (340, 84), (340, 92), (200, 100), (160, 100), (20, 92))
    pen.ring(180, 90, 6, fill="solid")
    pen.box(286, 68, 16, 14, fill="signal-solid", edge="hair")
    pen.line((180, 124), (294, 124), style="signal")
    pen.arrow((240, 124), (181, 124))
    pen.arrow((240, 124), (293, 124))
    pen.say(240, 142, "radius", "middle")
    pen.point((294, 68), 294, 50, "small weight", "middle")
    pen.figure(8, 24)
    pen.say(8, 42, "mass × radius that keeps it level")
    pen.say(8, 168, "still air; then end for end")


def bolts_tried(pen: Pen) -> None:
    """Each bolt tried clockwise with the wrench, none slackened first."""
    pen.ring(100, 92, 74)
    pen.ring(100, 92, 20, fill="paper")
    for number, deg in enumerate((0, 180, 60, 240, 120, 300), start=1):
        at = around((100, 92), 48, deg)
        pen.ring(*at, 13)
        pen.say(at[0], at[1] + 5, str(number), "middle")
    pen.turn((100, 92), 84, 10, 60)
    pen.figure(352, 24, anchor="end")
    pen.say(352, 60, "clockwise, until it gives", "end")
    pen.say(352, 78, "none slackened first", "end")
    pen.say(352, 114, "one that turns:", "end")
    pen.say(352, 130, "check faces and bolts", "end")


def blades_look(pen: Pen) -> None:
    """Both blades: edges by finger, tips, roots, witness paint."""
    pen.shape((160, 78), (30, 66), (14, 80), (18, 98), (160, 102))
    pen.shape((200, 78), (330, 74), (346, 90), (342, 108), (200, 102))
    pen.box(152, 70, 56, 40, fill="shade")
    for number, (x, y) in enumerate(((26, 70), (100, 73), (152, 90), (180, 74), (270, 105)), start=1):
        pen.ring(x, y, 10, fill="paper", edge="signal")
        pen.say(x, y + 5, str(number), "middle")
    pen.say(8, 24, "1 tip   2 leading edge by fingernail")
    pen.say(8, 42, "3 root   4 bolts, locks, paint   5 trailing edge")
    pen.say(352, 140, "a nick, a white line, a dull place:", "end")
    pen.say(352, 158, "the card of the propeller first", "end")


def blade_forward(pen: Pen) -> None:
    """A blade cut through: its cambered side faces forward in flight."""
    for x, good in ((90, True), (270, False)):
        side = -1 if good else 1
        camber = [(x - 60 + 10 * n, 82 + side * 26 * (1 - ((n - 5) / 7) ** 2)) for n in range(13)]
        pen.shape(*camber, (x + 60, 82 - side * 4), (x - 60, 82 - side * 4))
        (pen.right if good else pen.wrong)(x, 122)
        pen.say(x, 154, "cambered side forward" if good else "flat side forward:", "middle")
    pen.say(270, 170, "much less thrust", "middle")
    pen.arrow((180, 50), (180, 14))
    pen.say(190, 26, "flight")
    pen.say(90, 170, "arrow or the maker's marks", "middle")

"""Crankshaft and case: run-out, end float, big end, small end, seals, bearings, the case test."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen


def _crank(pen: Pen, y: float, left: float = 30) -> None:
    """A crankshaft from the side, its journals along `y`."""
    pen.box(left, y - 9, 136 - left, 18)
    pen.box(224, y - 9, 106, 18)
    pen.box(136, y - 40, 30, 80)
    pen.box(194, y - 40, 30, 80)
    pen.box(166, y - 34, 28, 16, fill="shade")


def run_out(pen: Pen) -> None:
    """The crank turned once in its bearings, a dial on a clean journal at each end."""
    _crank(pen, 118)
    for x in (96, 240):
        pen.box(x, 98, 24, 10, fill="shade")
        pen.box(x, 128, 24, 10, fill="shade")
    pen.dial(58, 58, (58, 108))
    pen.dial(302, 58, (302, 108))
    pen.turn((180, 118), 58, 150, 210)
    pen.say(58, 160, "journal, clean", "middle")
    pen.say(302, 160, "both ends", "middle")
    pen.figure(180, 22, anchor="middle")
    pen.say(180, 40, "full reading in one turn", "middle")


def end_float(pen: Pen) -> None:
    """The crank pushed and pulled along its axis, the dial in line with it."""
    _crank(pen, 116, left=84)
    pen.shape((100, 76), (124, 76), (124, 106), (100, 106), fill="shade")
    pen.shape((100, 126), (124, 126), (124, 156), (100, 156), fill="shade")
    pen.shape((236, 76), (260, 76), (260, 106), (236, 106), fill="shade")
    pen.shape((236, 126), (260, 126), (260, 156), (236, 156), fill="shade")
    pen.dial(30, 116, (84, 116))
    pen.arrow((290, 140), (340, 140))
    pen.arrow((330, 158), (280, 158))
    pen.say(352, 174, "by hand", "end")
    pen.figure(352, 24, anchor="end")
    pen.say(352, 42, "dial in line with the shaft", "end")


def big_end_side(pen: Pen) -> None:
    """Feeler between rod and cheek."""
    pen.box(60, 30, 40, 130)
    pen.box(180, 30, 40, 130)
    pen.box(108, 50, 68, 80, fill="shade")
    pen.say(142, 94, "rod", "middle")
    pen.say(80, 60, "cheek", "middle")
    pen.say(200, 60, "cheek", "middle")
    pen.shape((101, 10), (107, 10), (107, 110), (101, 110), fill="signal-solid", edge="hair")
    pen.point((104, 16), 60, 20, "feeler", "end")
    pen.across_to(140, 100, 108)
    pen.figure(352, 24, anchor="end")
    pen.say(352, 60, "at two places,", "end")
    pen.say(352, 76, "rod pushed over", "end")


def big_end_radial(pen: Pen) -> None:
    """The rod upright, pulled straight under a dial, not rocked."""
    pen.ring(110, 130, 38)
    pen.ring(110, 130, 16, fill="shade")
    pen.shape((100, 94), (102, 44), (118, 44), (120, 94))
    pen.ring(110, 34, 16)
    pen.dial(196, 34, (128, 34))
    pen.arrow((58, 60), (58, 24))
    pen.arrow((58, 76), (58, 112))
    pen.turn((110, 130), 100, -14, -30)
    pen.wrong(40, 20)
    pen.figure(352, 90, anchor="end")
    pen.say(352, 108, "pull straight up and down", "end")
    pen.say(352, 126, "no rocking to the side", "end")


def small_end(pen: Pen) -> None:
    """New pin and bearing in the rod's eye, dial across."""
    pen.ring(120, 80, 44)
    pen.ring(120, 80, 30, fill="paper")
    pen.ring(120, 80, 26, fill="shade")
    pen.shape((106, 122), (134, 122), (138, 172), (102, 172))
    pen.point((120, 80), 30, 30, "new pin", "middle")
    pen.dial(230, 80, (148, 80))
    pen.say(8, 140, "rod held still")
    pen.figure(352, 24, anchor="end")


def seal_lip(pen: Pen) -> None:
    """The lip and spring of a seal toward the case; the driver as wide as its rim."""
    for x, good in ((10, True), (196, False)):
        pen.box(x, 40, 150, 14, fill="shade")
        pen.line((x, 104), (x + 150, 104), style="track")
        pen.box(x + 54, 54, 30, 10)
        side = x + 84 if good else x + 54
        back = x + 54 if good else x + 84
        lip = side - 8 if good else side + 8
        pen.line((back, 64), (back, 84), (lip, 100), (side, 90))
        pen.ring(lip + (3 if good else -3), 86, 4, fill="solid")
        pen.say(x + 104 if good else x + 96, 82, "case")
        (pen.right if good else pen.wrong)(x + 132, 128)
        pen.say(x, 150, "lip and spring" if good else "lip outward:")
        pen.say(x, 166, "toward the case" if good else "leaks under pressure")
    pen.box(26, 55, 37, 15)
    pen.arrow((3, 62), (24, 62))
    pen.say(8, 24, "driver as wide as the rim, square")


def seal_depth(pen: Pen) -> None:
    """Depth from the case face to the rim, new less old."""
    for x, depth, words in ((20, 26, "old, noted"), (200, 30, "new")):
        pen.shape((x, 60), (x + 40, 60), (x + 40, 130), (x, 130), fill="shade")
        pen.shape((x + 100, 60), (x + 140, 60), (x + 140, 130), (x + 100, 130), fill="shade")
        pen.box(x + 40, 60 + depth, 18, 24)
        pen.box(x + 82, 60 + depth, 18, 24)
        pen.box(x + 20, 50, 100, 10, fill="", edge="ink")
        pen.line((x + 49, 50), (x + 49, 60 + depth), style="signal")
        pen.arrow((x + 49, 66), (x + 49, 60 + depth))
        pen.say(x + 70, 150, words, "middle")
    pen.figure(352, 22, anchor="end")
    pen.say(352, 40, "new less old, from the same face", "end")


def bearing_press(pen: Pen) -> None:
    """A bearing pressed by its tight ring; never through the balls."""
    for x, good in ((14, True), (196, False)):
        pen.shape((x, 90), (x + 26, 90), (x + 26, 150), (x, 150), fill="shade")
        pen.shape((x + 124, 90), (x + 150, 90), (x + 150, 150), (x + 124, 150), fill="shade")
        for side in (x + 28, x + 106):
            pen.box(side, 80, 16, 40)
        for ball in (x + 50, x + 100):
            pen.ring(ball, 100, 7)
        for side in (x + 58, x + 80):
            pen.box(side, 80, 12, 40)
        for tube in (x + 28, x + 108) if good else (x + 58, x + 80):
            pen.box(tube, 34, 14, 44, fill="shade")
        pen.arrow((x + 75, 10), (x + 75, 30))
        (pen.right if good else pen.wrong)(x + 138, 54)
        pen.say(x, 168, "outer ring tight: on it" if good else "through the balls")


def case_test(pen: Pen) -> None:
    """The whole case closed with plates, bung and plug; pump and gauge on it."""
    pen.shape((120, 90), (240, 90), (252, 150), (108, 150))
    pen.say(180, 128, "case", "middle")
    pen.box(140, 30, 80, 60)
    pen.say(180, 66, "cylinder", "middle")
    pen.box(128, 20, 104, 10, fill="shade")
    pen.box(174, 8, 12, 12, fill="shade")
    pen.point((186, 14), 246, 18, "plug, snug")
    pen.box(220, 50, 18, 24, fill="solid")
    pen.point((238, 62), 262, 56, "bung strapped")
    pen.say(262, 72, "in the exhaust")
    pen.box(92, 96, 22, 36, fill="solid")
    pen.point((96, 104), 8, 96, "plate, O-ring")
    pen.line((100, 132), (100, 160), (60, 160), style="track")
    pen.gauge(40, 142, 24)
    pen.point((108, 148), 130, 172, "both seals, all joints: soap")
    pen.figure(8, 22)


def turn_by_hand(pen: Pen) -> None:
    """Whole turns by hand: the same drag all round."""
    pen.ring(110, 92, 60)
    pen.ring(110, 92, 16, fill="shade")
    pen.turn((110, 92), 74, -60, 120)
    pen.say(210, 60, "same drag all the way")
    pen.say(210, 80, "no click, no scrape")
    pen.say(210, 100, "no hard place")
    pen.say(210, 136, "plug out,")
    pen.say(210, 152, "ignition grounded")

"""Carburettor: lever, diaphragm, needles, pressure tests, welch plugs, flange."""

from __future__ import annotations

from tickover.workshop.drawings.drawing import Point
from tickover.workshop.drawings.plates.pen import Pen, around

_LEFT_WALL: list[Point] = [(30, 64), (70, 64), (70, 128), (112, 128), (112, 164)]
_RIGHT_WALL: list[Point] = [(132, 164), (132, 128), (250, 128), (250, 64), (290, 64)]


def lever_height(pen: Pen) -> None:
    """Section through the metering chamber. A limit that runs below zero counts from the chamber floor."""
    lower = pen.limits[0].lower if pen.limits else None
    flush = lower is not None and lower < 0
    tip = 128.0 if flush else 92.0
    pen.drawing.path([*_LEFT_WALL, *_RIGHT_WALL, (290, 172), (30, 172)], "soft", closed=True)
    pen.drawing.path(_LEFT_WALL, "edge")
    pen.drawing.path(_RIGHT_WALL, "edge")
    pen.drawing.path([(114, 120), (130, 120), (130, 150), (122, 162), (114, 150)], "edge", closed=True)
    pen.drawing.path([(122, 116), (160, 104), (230, tip)], "track")
    pen.drawing.ellipse((160, 104), 5, 5, "edge")
    pen.drawing.path([(192 + 7 * (-1) ** n, 128 - 4 * n) for n in range(3 if flush else 7)], "hair")
    if flush:
        pen.drawing.path([(176, 116), (262, 116), (262, 128), (176, 128)], "hair", closed=True)
        pen.drawing.text((8, 20), "Straightedge on the chamber")
        pen.drawing.text((8, 38), "floor, lever's end level with it")
        pen.figure(352, 20, anchor="end")
        pen.down_to(240, 126, 130)
        return
    pen.drawing.path([(50, 52), (270, 52), (270, 64), (50, 64)], "hair", closed=True)
    pen.drawing.path([(224, 46), (236, 46), (236, tip), (224, tip)], "hair", closed=True)
    pen.drawing.line((236, tip), (318, tip), "hair")
    pen.drawing.line((290, 64), (318, 64), "hair")
    pen.down_to(310, 64, tip)
    pen.figure(352, 20, anchor="end")
    pen.drawing.text((8, 20), "Depth gauge across the")
    pen.drawing.text((8, 38), "clean body face, gasket off")


def diaphragm_hook(pen: Pen) -> None:
    """Section: the pin of the diaphragm in the fork of the lever, and beside it."""
    for x, held in ((20, True), (200, False)):
        pen.line((x, 40), (x + 50, 40), (x + 56, 34), (x + 84, 34), (x + 90, 40), (x + 140, 40))
        pen.box(x + 62, 26, 16, 8, fill="shade")
        pen.box(x + 67, 34, 6, 26, fill="shade")
        pen.oval(x + 70, 64, 9, 4, fill="shade")
        top = 56 if held else 92
        pen.line((x + 4, 104), (x + 40, 100), (x + 62, top), (x + 67, top))
        pen.line((x + 73, top), (x + 84, top))
        pen.ring(x + 40, 100, 4)
        pen.box(x, 118, 140, 14)
        (pen.right if held else pen.wrong)(x + 120, 76)
        pen.say(x + 70, 150, "Pin in the fork" if held else "Pin outside the fork", "middle")
        pen.say(x + 70, 166, "lever follows the lift" if held else "needle never opens", "middle")
    pen.arrow((136, 30), (136, 8))
    pen.say(8, 18, "lift a little")


def pop_off(pen: Pen) -> None:
    """Hand pump on the fuel inlet, metering cover off, the needle wetted."""
    pen.gauge(52, 46, 26)
    pen.line((52, 72), (52, 104), (150, 104))
    pen.box(8, 96, 30, 16)
    pen.line((38, 104), (52, 104))
    pen.point((20, 112), 8, 136, "hand pump")
    pen.shape((150, 84), (206, 84), (206, 124), (300, 124), (300, 84), (330, 84), (330, 150), (150, 150))
    pen.line((150, 104), (178, 104), (178, 124), (226, 124), style="dash")
    pen.shape((222, 96), (234, 96), (234, 116), (228, 124), (222, 116), fill="shade")
    pen.line((228, 94), (262, 90), (292, 104), style="track")
    pen.point((228, 116), 210, 168, "seat wetted", "middle")
    pen.say(350, 72, "cover off", "end")
    pen.figure(352, 20, anchor="end")
    pen.say(352, 38, "third of three, needle opens", "end")


def reseat(pen: Pen) -> None:
    """Pressure over time: up to the pop, down, and where it comes to rest."""
    pen.line((40, 14), (40, 150), (340, 150))
    pen.say(46, 24, "pressure")
    pen.say(340, 168, "time", "end")
    pen.line((40, 150), (130, 40), (146, 92), (170, 100), (330, 102), style="track")
    pen.point((130, 40), 148, 36, "pop-off: the needle opens")
    pen.line((40, 102), (150, 102), style="dash")
    pen.line((190, 112), (190, 122), style="ink")
    pen.line((310, 112), (310, 122), style="ink")
    pen.line((190, 117), (310, 117), style="ink")
    pen.say(250, 136, "waited, at rest", "middle")
    pen.figure(200, 76)
    pen.say(200, 92, "closed again")


def inlet_hold(pen: Pen) -> None:
    """Covers on, pressure on the fuel inlet, the loss is read."""
    pen.gauge(60, 50, 28)
    pen.line((60, 78), (60, 108), (160, 108))
    pen.box(10, 100, 34, 16)
    pen.line((44, 108), (60, 108))
    pen.say(8, 138, "pump at the")
    pen.say(8, 154, "fuel inlet")
    pen.box(160, 84, 130, 52)
    pen.box(154, 66, 142, 18, fill="shade")
    pen.box(154, 136, 142, 18, fill="shade")
    pen.point((250, 74), 352, 60, "both covers on", "end")
    pen.figure(352, 20, anchor="end")
    pen.say(352, 38, "loss, from what it was pumped to", "end")
    pen.say(225, 114, "needle holds", "middle")


def needle_turns(pen: Pen) -> None:
    """A mixture needle: in to a light seat, then out by the count."""
    for x, way in ((78, "in"), (230, "out")):
        pen.ring(x, 72, 40)
        pen.box(x - 4, 38, 8, 68, fill="shade")
        pen.line((x, 24), (x, 32), style="signal")
        pen.turn((x, 72), 52, *((20, 130) if way == "in" else (-20, -130)))
    pen.say(78, 148, "1  In, two fingers,", "middle")
    pen.say(78, 164, "until it seats lightly", "middle")
    pen.say(240, 148, "2  Back out:", "middle")
    pen.figure(240, 166, anchor="middle")
    pen.say(352, 64, "mark head", "end")
    pen.say(352, 80, "and body", "end")


def pulse_holes(pen: Pen) -> None:
    """The pulse passage through a stack: every hole over the next, or one gasket turned over."""
    for x, clear in ((14, True), (194, False)):
        for n, (name, high) in enumerate(
            (("body", 26), ("gasket", 8), ("insulator", 22), ("gasket", 8), ("case", 26))
        ):
            y = 16 + sum((26, 8, 22, 8, 26)[:n]) + 4 * n
            hole = 70 if clear or n != 1 else 30
            pen.box(x, y, hole, high, fill="shade" if name == "gasket" else "soft")
            pen.box(x + hole + 14, y, 138 - hole, high, fill="shade" if name == "gasket" else "soft")
            if clear and high > 10:
                pen.say(x + 8, y + high / 2 + 5, name)
        if clear:
            pen.arrow((x + 77, 4), (x + 77, 122))
        else:
            pen.line((x + 77, 4), (x + 77, 44), style="signal")
            pen.wrong(x + 77, 50)
        (pen.right if clear else pen.wrong)(x + 10, 148)
        pen.say(x + 26, 148, "one round hole," if clear else "gasket turned over:")
        pen.say(x + 26, 164, "lamp shows through" if clear else "pulse shut off")


def welch_plug(pen: Pen) -> None:
    """Welch plug: dome outward, one blow until it is flat, not dished."""
    for x, words, sag in ((8, "1  dome outward", -12), (128, "2  flat", 0), (248, "dished: leaks", 12)):
        pen.shape((x, 90), (x + 20, 90), (x + 20, 104), (x + 84, 104), (x + 84, 90), (x + 104, 90),
                  (x + 104, 136), (x, 136))  # fmt: skip
        pen.line((x + 21, 98), (x + 52, 98 + sag * 1.3), (x + 83, 98), style="signal")
        pen.say(x + 52, 156, words, "middle")
    pen.box(154, 40, 52, 36, fill="shade")
    pen.arrow((180, 8), (180, 36))
    pen.point((160, 50), 120, 34, "flat punch", "end")
    pen.right(222, 74)
    pen.wrong(300, 74)


def pump_flaps(pen: Pen) -> None:
    """Pump diaphragm from above: the flaps free and flat over their holes, not folded."""
    pen.shape((30, 20), (190, 20), (200, 32), (200, 130), (190, 142), (30, 142), (20, 130), (20, 32))
    pen.ring(110, 110, 20, fill="", edge="ink")
    pen.say(110, 114, "pulse", "middle")
    for x in (60, 160):
        pen.ring(x, 60, 8, fill="shade", edge="ink")
        pen.arc((x, 60), 18, -130, 130)
        pen.line(around((x, 60), 18, 130), (x + 14, 92), style="ink")
        pen.line(around((x, 60), 18, -130), (x - 14, 92), style="ink")
    pen.point((160, 44), 214, 40, "flap flat on its seat,")
    pen.say(214, 58, "free all round")
    pen.point((66, 62), 214, 90, "hole below the flap")
    pen.say(214, 124, "none folded back,")
    pen.say(214, 140, "none curled or torn")


def shaft_play(pen: Pen) -> None:
    """The throttle shaft pushed to the sides under a dial beside the body."""
    pen.box(110, 70, 110, 80)
    pen.hatch(110, 70, 110, 80)
    pen.ring(165, 110, 30, fill="", edge="ink")
    pen.box(40, 104, 250, 12, fill="shade")
    pen.box(24, 84, 18, 52)
    pen.point((30, 90), 8, 72, "lever")
    pen.dial(250, 52, (250, 104))
    pen.arrow((60, 150), (60, 118))
    pen.arrow((60, 72), (60, 102))
    pen.figure(352, 20, anchor="end")
    pen.say(352, 164, "dial close to the body", "end")


def seat_narrow(pen: Pen) -> None:
    """Needle tip and seat through the lens: narrow bright ring, no groove."""
    for x, good in ((90, True), (264, False)):
        pen.shape((x - 22, 14), (x + 22, 14), (x + 22, 60), (x, 104), (x - 22, 60))
        if good:
            pen.line((x - 18, 68), (x + 18, 68), style="ink")
        else:
            pen.line((x - 20, 64), (x - 9, 68), (x - 15, 74), style="signal")
            pen.line((x + 20, 64), (x + 9, 68), (x + 15, 74), style="signal")
        pen.shape((x - 50, 96), (x - 12, 96), (x - 5, 108), (x - 5, 128), (x - 50, 128), fill="shade")
        pen.shape((x + 50, 96), (x + 12, 96), (x + 5, 108), (x + 5, 128), (x + 50, 128), fill="shade")
        (pen.right if good else pen.wrong)(x + 66, 60)
        pen.say(x, 148, "smooth cone," if good else "groove in the tip:", "middle")
        pen.say(x, 164, "narrow bright ring" if good else "it leaks, renew", "middle")

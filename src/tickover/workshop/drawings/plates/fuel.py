"""Fuel: hoses and clips, where leaks show, the vent, the pulse hose."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen


def _barb(pen: Pen, x: float, y: float) -> None:
    """A nipple from the left, with one barb near its end."""
    pen.box(x, y - 22, 18, 44, fill="shade")
    pen.shape((x + 18, y - 8), (x + 74, y - 8), (x + 78, y - 12), (x + 94, y - 7), (x + 94, y + 7),
              (x + 78, y + 12), (x + 74, y + 8), (x + 18, y + 8), fill="shade")  # fmt: skip


def _hose(pen: Pen, start: float, end: float, y: float) -> None:
    for side in (-1, 1):
        pen.shape((start, y + side * 10), (end, y + side * 10), (end, y + side * 18), (start, y + side * 18))


def hose_on_barb(pen: Pen) -> None:
    """A hose fully on, the clip behind the barb; and a clip that sits on it."""
    for y, good in ((46, True), (126, False)):
        _barb(pen, 10, y)
        _hose(pen, 30 if good else 72, 180, y)
        clip = 52 if good else 82
        for side in (-1, 1):
            pen.box(clip, y + side * 21 - 3, 14, 6, fill="solid")
        (pen.right if good else pen.wrong)(204, y - 6)
        pen.say(220, y - 2, "hose to the stop," if good else "half on,")
        pen.say(220, y + 14, "clip behind the barb" if good else "clip on the barb")


def pulse_hose(pen: Pen) -> None:
    """The pulse hose between case and carburettor: on both nipples, clipped, no kink."""
    pen.box(8, 96, 70, 56)
    pen.say(43, 128, "case", "middle")
    pen.box(250, 20, 92, 56)
    pen.say(296, 52, "carburettor", "middle")
    pen.box(78, 118, 26, 8, fill="shade")
    pen.box(224, 44, 26, 8, fill="shade")
    pen.line((88, 114), (130, 112), (160, 96), (184, 60), (204, 41), (246, 40))
    pen.line((88, 130), (136, 128), (172, 106), (196, 70), (212, 56), (246, 56))
    pen.box(92, 110, 10, 24, fill="solid")
    pen.box(228, 36, 10, 24, fill="solid")
    pen.point((97, 110), 60, 84, "clip", "middle")
    pen.point((233, 36), 200, 20, "clip", "middle")
    pen.say(200, 112, "1  fully on both nipples")
    pen.say(200, 130, "2  no kink, no rub")
    pen.say(200, 148, "3  clear of exhaust, cable")
    pen.say(200, 166, "4  pull at each end")


def leak_look(pen: Pen) -> None:
    """From the tank to the carburettor: every joint that is watched."""
    pen.shape((14, 20), (96, 20), (96, 84), (14, 84))
    pen.line((14, 40), (96, 40), style="ink")
    pen.say(55, 60, "tank", "middle")
    pen.line((55, 84), (55, 116), (112, 116))
    pen.box(112, 106, 34, 20, fill="shade")
    pen.line((146, 116), (176, 116))
    pen.oval(200, 116, 24, 13, fill="shade")
    pen.line((224, 116), (262, 116))
    pen.box(262, 66, 84, 74)
    pen.say(304, 106, "carburettor", "middle")
    pen.box(258, 58, 92, 8, fill="shade")
    pen.box(258, 140, 92, 8, fill="shade")
    pen.say(129, 100, "filter", "middle")
    pen.arrow((112, 138), (146, 138))
    pen.say(200, 98, "bulb", "middle")
    joints = ((55, 84), (112, 116), (146, 116), (176, 116), (224, 116), (262, 116), (304, 62), (304, 144))
    for number, (x, y) in enumerate(joints, start=1):
        pen.ring(x, y, 10, fill="paper", edge="signal")
        pen.say(x, y + 5, str(number), "middle")
    pen.say(352, 20, "tap open, primed, wiped dry:", "end")
    pen.say(352, 38, "watch 1 to 8 for a minute", "end")
    pen.say(8, 168, "arrow of filter and bulb toward the carburettor")


def vent_both_ways(pen: Pen) -> None:
    """The vent of the tank: air in always; out only where there is no check valve."""
    for x, way in ((10, "blow"), (190, "draw")):
        pen.box(x, 70, 110, 60)
        pen.say(x + 55, 106, "tank, cap on", "middle")
        pen.line((x + 110, 86), (x + 150, 86), (x + 150, 56))
        pen.box(x + 122, 78, 18, 16, fill="shade")
        pen.arrow(*(((x + 150, 22), (x + 150, 52)) if way == "blow" else ((x + 150, 52), (x + 150, 22))))
        pen.say(x, 20, "1  blow gently" if way == "blow" else "2  draw gently")
        pen.say(x, 148, "air passes into the tank" if way == "blow" else "check valve holds;")
        if way == "draw":
            pen.say(x, 164, "no valve: air passes")
    pen.point((132, 86), 88, 50, "valve", "end")


def pump_delivery(pen: Pen) -> None:
    """A gauge on the tap of the pump's outlet, the engine running."""
    pen.box(20, 60, 110, 80)
    pen.say(75, 82, "pump", "middle")
    pen.line((30, 100), (120, 100), style="dash")
    pen.line((130, 100), (260, 100))
    pen.box(180, 92, 18, 16, fill="shade")
    pen.line((189, 92), (189, 64))
    pen.gauge(189, 40, 24)
    pen.point((189, 108), 189, 140, "tap at the outlet", "middle")
    pen.box(260, 80, 80, 40)
    pen.say(300, 105, "needle", "middle")
    pen.figure(352, 24, anchor="end")
    pen.say(352, 42, "lowest value counts", "end")
    pen.say(8, 166, "idle to full throttle, machine restrained")


def pulse_swing(pen: Pen) -> None:
    """Low-range gauge with its snubber on the pulse, while cranking."""
    pen.box(20, 70, 90, 80)
    pen.say(65, 114, "crankcase", "middle")
    pen.line((110, 96), (236, 96))
    pen.box(160, 86, 30, 20, fill="shade")
    pen.say(175, 126, "snubber", "middle")
    pen.ring(276, 84, 40)
    pen.arc((276, 84), 32, -120, 120, "ink")
    pen.drawing.line((276, 84), (256, 60), "signal")
    pen.drawing.line((276, 84), (296, 60), "signal")
    pen.turn((276, 84), 26, -38, 38)
    pen.point((286, 72), 352, 146, "both ends of the swing", "end")
    pen.figure(8, 22)
    pen.say(8, 40, "plug out, brisk cranking")


def fuel_burn(pen: Pen) -> None:
    """Can weighed before and after a measured run."""
    for x, words, level in ((20, "before", 60), (230, "after", 92)):
        pen.box(x, 40, 76, 84)
        pen.shape((x, level), (x + 76, level), (x + 76, 124), (x, 124), fill="shade")
        pen.box(x - 6, 124, 88, 14, fill="shade")
        pen.say(x + 38, 30, words, "middle")
        pen.say(x + 38, 156, "engine stopped", "middle")
    pen.arrow((112, 84), (214, 84))
    pen.say(163, 74, "full throttle", "middle")
    pen.say(163, 104, "timed", "middle")
    pen.figure(163, 128, anchor="middle")

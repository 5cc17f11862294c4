"""Run: restraint, clear area, what is looked at before and after, where it is measured."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen, around


def _machine(pen: Pen, x: float, y: float) -> None:
    """Engine with propeller to its right, from the side, on a frame."""
    pen.box(x, y, 60, 50, fill="shade")
    pen.box(x + 60, y + 18, 26, 14)
    pen.oval(x + 90, y + 25, 5, 62)


def restraint(pen: Pen) -> None:
    """The machine strapped to a stand that is fixed to the ground."""
    _machine(pen, 150, 52)
    pen.line((100, 48), (100, 150), style="track")
    pen.line((60, 150), (140, 150), style="track")
    pen.line((60, 150), (100, 80), style="track")
    pen.line((8, 152), (352, 152), style="edge")
    pen.hatch(8, 152, 344, 10)
    for y in (60, 94):
        pen.line((100, y), (150, y), style="signal")
    pen.arrow((262, 77), (310, 77))
    pen.figure(352, 24, anchor="end")
    pen.say(352, 42, "static thrust", "end")
    pen.say(8, 22, "stand good for")
    pen.say(8, 38, "three times the thrust")
    pen.say(8, 174, "try it by pulling; nothing loose near")


def clear_plane(pen: Pen) -> None:
    """From above: nobody in the plane of the propeller, where the two persons are."""
    pen.shape((80, 4), (200, 4), (150, 88), (200, 172), (80, 172), (130, 88), fill="signal-wash", edge="dash")
    pen.box(124, 68, 34, 40, fill="shade")
    pen.box(136, 12, 8, 152)
    pen.ring(44, 128, 11, fill="solid")
    pen.say(8, 156, "throttle,")
    pen.say(8, 172, "hand on stop")
    pen.ring(240, 128, 11, fill="solid")
    pen.say(212, 156, "watches the ground")
    pen.wrong(100, 30)
    pen.wrong(180, 150)
    pen.say(212, 30, "nobody in the plane")
    pen.say(212, 46, "of the propeller,")
    pen.say(212, 62, "nor in front of it")


def look_over(pen: Pen) -> None:
    """The places looked at before a run and after it."""
    _machine(pen, 66, 56)
    pen.shape((22, 74), (66, 66), (66, 100), (22, 108), (10, 90))
    pen.box(30, 124, 84, 34)
    pen.line((90, 124), (90, 106), style="track")
    places = ((156, 30), (152, 81), (34, 90), (66, 108), (66, 141), (94, 118), (96, 72))
    for number, (x, y) in enumerate(places, start=1):
        pen.ring(x, y, 10, fill="paper", edge="signal")
        pen.say(x, y + 5, str(number), "middle")
    words = ("blades, by finger", "bolts, locks, paint", "exhaust and springs", "mounts, flange",
             "tank, vent, cap", "hoses, clips: dry", "plug, cables, all loose")  # fmt: skip
    for number, line in enumerate(words, start=1):
        pen.say(182, 22 * number, f"{number} {line}")


def stop_first_press(pen: Pen) -> None:
    """From a steady idle the engine stops at the first press."""
    pen.line((30, 14), (30, 140), (340, 140))
    pen.say(36, 22, "rpm")
    pen.line((30, 100), (70, 98), (130, 101), (228, 100), (254, 138), (330, 138), style="track")
    pen.arrow((228, 44), (228, 94))
    pen.say(228, 36, "pressed once", "middle")
    pen.figure(36, 84, before="idle ")
    pen.say(250, 100, "stops at once:")
    pen.say(250, 116, "else no release")
    pen.say(340, 164, "time", "end")


def made_safe(pen: Pen) -> None:
    """Switch at off, plug cap off and earthed, fuel closed, battery plug drawn."""
    pen.box(14, 30, 70, 40)
    pen.line((34, 56), (58, 40), style="track")
    pen.say(49, 92, "1  switch off,", "middle")
    pen.say(49, 108, "tied", "middle")
    pen.box(116, 50, 60, 26, fill="shade")
    pen.box(128, 26, 10, 24)
    pen.box(156, 26, 22, 22, fill="shade")
    pen.line((166, 48), (176, 66), style="signal")
    pen.say(146, 92, "2  cap off,", "middle")
    pen.say(146, 108, "earthed", "middle")
    pen.line((206, 44), (280, 44))
    pen.line((206, 58), (280, 58))
    pen.ring(243, 51, 15)
    pen.box(240, 28, 6, 46, fill="shade")
    pen.say(243, 92, "3  fuel", "middle")
    pen.say(243, 108, "closed", "middle")
    pen.box(298, 38, 24, 24, fill="shade")
    pen.box(330, 38, 22, 24)
    pen.say(326, 92, "4  battery", "middle")
    pen.say(326, 108, "drawn", "middle")
    pen.say(8, 150, "4 only where there is one; write how it was left")


def mist(pen: Pen) -> None:
    """Water mist at the joints of the intake while it idles; the revs tell."""
    pen.box(30, 60, 80, 60)
    pen.say(70, 94, "carburettor", "middle")
    pen.box(110, 66, 10, 48, fill="shade")
    pen.box(120, 60, 14, 60)
    pen.box(134, 66, 10, 48, fill="shade")
    pen.box(144, 50, 80, 80)
    pen.say(184, 94, "case", "middle")
    for x in (108, 127, 146):
        pen.arrow((x + 20, 14), (x + 4, 52))
    pen.point((127, 120), 127, 156, "flange, insulator, gaskets", "middle")
    pen.say(352, 40, "idle rises, falls or", "end")
    pen.say(352, 56, "stumbles: it draws air", "end")
    pen.say(352, 156, "from the far side of", "end")
    pen.say(352, 172, "the propeller's plane", "end")


def washer_probe(pen: Pen) -> None:
    """Thermocouple washer under the plug."""
    pen.shape((40, 120), (90, 120), (90, 160), (40, 160), fill="shade")
    pen.shape((140, 120), (190, 120), (190, 160), (140, 160), fill="shade")
    pen.box(92, 120, 46, 46)
    pen.box(76, 106, 78, 10, fill="signal-solid", edge="hair")
    pen.line((154, 111), (240, 100), style="track")
    pen.box(84, 76, 62, 30)
    pen.box(106, 22, 18, 54)
    pen.point((150, 111), 204, 136, "washer under the plug")
    pen.figure(352, 26, anchor="end")
    pen.say(352, 44, "sustained, at power", "end")
    pen.say(352, 62, "not the peak after closing", "end")


def pipe_probe(pen: Pen) -> None:
    """Probe in the exhaust pipe at the distance of the sheet's title."""
    pen.box(10, 40, 40, 110, fill="shade")
    pen.line((50, 76), (330, 76))
    pen.line((50, 124), (330, 124))
    pen.box(196, 30, 10, 70, fill="signal-solid", edge="hair")
    pen.line((50, 146), (201, 146), style="signal")
    pen.arrow((120, 146), (51, 146))
    pen.arrow((120, 146), (200, 146))
    pen.say(126, 166, "distance from the port", "middle")
    pen.say(28, 34, "port", "middle")
    pen.figure(352, 26, anchor="end")
    pen.say(352, 44, "same place each time", "end")
    pen.say(222, 104, "tip in the middle")


def tachometer(pen: Pen) -> None:
    """A tachometer with the span that is allowed."""
    centre = (100.0, 92.0)
    pen.ring(*centre, 74)
    for n in range(11):
        deg = -120 + 24 * n
        pen.line(around(centre, 74, deg), around(centre, 64, deg), style="edge")
    pen.arc(centre, 58, -10, 60, "signal")
    pen.drawing.line(centre, around(centre, 56, 25), "track")
    pen.ring(*centre, 7, fill="solid")
    pen.say(100, 138, "rpm", "middle")
    pen.figure(352, 60, anchor="end")
    pen.say(352, 24, "restrained, not moving", "end")


def thrust_cell(pen: Pen) -> None:
    """Load cell in line with the shaft."""
    _machine(pen, 170, 54)
    pen.line((30, 30), (30, 150), style="track")
    pen.box(70, 66, 44, 26, fill="signal-wash")
    pen.say(92, 58, "load cell", "middle")
    pen.line((30, 79), (70, 79), style="track")
    pen.line((114, 79), (170, 79), style="track")
    pen.line((20, 79), (348, 79), style="dash")
    pen.figure(352, 24, anchor="end")
    pen.say(352, 168, "in line with the shaft, zeroed, no wind", "end")
    pen.line((8, 150), (60, 150), style="track")


def warm_up(pen: Pen) -> None:
    """First run of a new top end: fast idle, part throttle, then stop and look."""
    pen.line((30, 14), (30, 140), (340, 140))
    pen.say(36, 22, "throttle")
    pen.line((30, 124), (150, 124), (156, 84), (250, 84), (256, 140), (330, 140), style="track")
    pen.say(92, 116, "fast idle", "middle")
    pen.say(204, 78, "part throttle", "middle")
    pen.say(298, 132, "stop, look", "middle")
    pen.say(340, 164, "time", "end")
    pen.figure(352, 26, anchor="end")
    pen.say(352, 44, "head, at power: never over", "end")


def engagement(pen: Pen) -> None:
    """Opened slowly from idle: the speed at which the propeller begins to be driven."""
    pen.line((30, 14), (30, 140), (340, 140))
    pen.say(36, 22, "rpm")
    pen.line((30, 124), (90, 122), (250, 50), (330, 30), style="track")
    pen.line((30, 140), (176, 140), (250, 118), (330, 92), style="signal")
    pen.line((176, 140), (176, 84), style="dash")
    pen.point((176, 84), 176, 44, "clutch takes up", "middle")
    pen.say(290, 62, "crank", "middle")
    pen.say(302, 126, "propeller", "middle")
    pen.figure(352, 168, anchor="end")
    pen.say(8, 168, "hot, opened slowly, twice")

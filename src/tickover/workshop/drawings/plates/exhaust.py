"""Exhaust: flange, springs and wire, cracks, silencer."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen


def spring_and_wire(pen: Pen) -> None:
    """A spring hung in its holes, safety wire doubled through the coil, with slack."""
    pen.box(10, 60, 46, 60)
    pen.box(300, 60, 50, 60)
    pen.ring(48, 90, 5, fill="paper")
    pen.ring(308, 90, 5, fill="paper")
    pen.line((48, 90), (96, 90), style="track")
    pen.line((256, 90), (308, 90), style="track")
    for n in range(16):
        pen.line((96 + 10 * n, 102), (106 + 10 * n, 78), style="edge")
    pen.line((40, 104), (60, 124), (120, 96), (240, 96), (290, 124), (316, 106), style="signal")
    pen.line((40, 110), (60, 130), (120, 100), (240, 100), (290, 130), (316, 112), style="signal")
    pen.point((176, 100), 176, 156, "wire doubled through the coil, with slack", "middle")
    pen.point((308, 86), 352, 40, "both hooks in their holes", "end")
    pen.say(8, 24, "ends turned in")
    pen.say(8, 174, "a second person tries each")


def exhaust_cracks(pen: Pen) -> None:
    """Where an exhaust cracks: welds, bends, brackets, flange."""
    pen.box(10, 84, 14, 52, fill="shade")
    pen.line((24, 92), (90, 92), (120, 74), (120, 40), (150, 40))
    pen.line((24, 128), (104, 128), (150, 104), (150, 74))
    pen.shape((150, 26), (330, 26), (340, 50), (330, 88), (150, 88))
    pen.line((180, 26), (180, 88), style="ink")
    pen.box(250, 88, 20, 22, fill="shade")
    spots = ((24, 92), (106, 82), (150, 40), (180, 60), (260, 88), (134, 114))
    for number, (x, y) in enumerate(spots, start=1):
        pen.ring(x, y, 10, fill="paper", edge="signal")
        pen.say(x, y + 5, str(number), "middle")
    pen.say(196, 130, "1 flange, 2 and 6 bends")
    pen.say(352, 150, "3 and 4 welds, both ends; 5 brackets", "end")
    pen.say(352, 170, "a light line in the soot is a leak", "end")


def pipe_free(pen: Pen) -> None:
    """The pipe rests in flange and mounts without being pulled."""
    for x, good in ((14, True), (194, False)):
        pen.box(x, 40, 22, 90, fill="shade")
        lean = 0 if good else 8
        pen.box(x + 22, 50, 6, 70, fill="solid")
        pen.shape((x + 30, 46 + lean), (x + 42, 46), (x + 42, 126), (x + 30 + lean, 126))
        pen.shape((x + 42, 66 + lean), (x + 130, 66 + lean * 2), (x + 130, 104 + lean * 2), (x + 42, 104))
        pen.box(x + 96, 124, 20, 22)
        pen.ring(x + 106, 112 + (0 if good else 18), 4, fill="solid")
        (pen.right if good else pen.wrong)(x + 120, 40)
        pen.say(x, 168, "holes and hooks face" if good else "pulled in by its nuts")
    pen.point((39, 60), 60, 24, "new joint ring")


def port_view(pen: Pen) -> None:
    """The core and shell of a silencer: holes open, no light through the shell."""
    pen.shape((20, 40), (300, 40), (320, 56), (320, 114), (300, 130), (20, 130))
    pen.box(20, 68, 300, 34, fill="paper", edge="ink")
    for n in range(14):
        pen.ring(36 + 20 * n, 76, 3, fill="solid")
        pen.ring(46 + 20 * n, 94, 3, fill="solid")
    pen.point((136, 76), 150, 22, "holes of the core open", "middle")
    pen.ring(300, 50, 5, fill="solid")
    pen.ring(300, 120, 5, fill="solid")
    pen.point((300, 120), 352, 148, "every rivet pulled tight", "end")
    pen.point((60, 130), 8, 172, "lamp inside: no light through the shell")

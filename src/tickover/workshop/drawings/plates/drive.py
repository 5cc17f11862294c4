"""Drive: belt, clutch, gearbox."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen, around


def belt_pluck(pen: Pen) -> None:
    """Where the free span is plucked and where the meter is held."""
    pen.ring(70, 110, 34, fill="shade")
    pen.ring(286, 96, 58, fill="shade")
    pen.line((66, 76), (280, 38), style="track")
    pen.line((72, 144), (290, 154), style="track")
    pen.arrow((176, 20), (176, 50))
    pen.box(150, 74, 52, 32)
    pen.say(176, 95, "meter", "middle")
    pen.figure(8, 20)
    pen.say(8, 38, "middle of the free span")
    pen.shape((160, 142), (200, 144), (200, 158), (160, 156), fill="solid")
    pen.say(180, 174, "other span damped by a cloth", "middle")
    pen.ring(70, 110, 5, fill="solid")
    pen.ring(286, 96, 5, fill="solid")


def belt_alignment(pen: Pen) -> None:
    """Straightedge across the lower pulley's face; the gap at the upper one."""
    pen.box(120, 20, 46, 60, fill="shade")
    pen.box(128, 104, 46, 56, fill="shade")
    pen.line((64, 50), (120, 50), style="track")
    pen.line((64, 132), (128, 132), style="track")
    pen.box(174, 12, 14, 152)
    pen.point((182, 120), 212, 124, "straightedge on the")
    pen.say(212, 140, "lower pulley's face")
    pen.across_to(46, 166, 174)
    pen.figure(352, 26, anchor="end")
    pen.say(352, 66, "gap at the upper pulley", "end")
    pen.say(352, 82, "two places, half a turn", "end")


def eccentric(pen: Pen) -> None:
    """The eccentric moves the shaft; its clamp holds what was set."""
    pen.ring(100, 92, 60)
    pen.ring(116, 82, 28, fill="shade")
    pen.ring(116, 82, 4, fill="solid")
    pen.line((100, 92), (116, 82), style="ink")
    pen.turn((100, 92), 72, -60, 30)
    pen.nut(48, 120)
    pen.nut(152, 120)
    pen.point((152, 120), 206, 130, "clamp: two passes,")
    pen.say(206, 146, "then paint over it")
    pen.say(206, 56, "small steps, three turns")
    pen.say(206, 72, "by hand after each")
    pen.figure(206, 166)


def clutch_shoes(pen: Pen) -> None:
    """Shoes, springs and drum; where each is looked at."""
    pen.ring(120, 90, 78)
    pen.ring(120, 90, 68, fill="paper")
    for start in (0, 120, 240):
        outer = [around((120, 90), 60, start + 8 + n * 8) for n in range(14)]
        inner = [around((120, 90), 36, start + 8 + n * 8) for n in range(13, -1, -1)]
        pen.shape(*outer, *inner, fill="shade")
        pen.line(around((120, 90), 48, start - 10), around((120, 90), 48, start + 10), style="signal")
    pen.ring(120, 90, 16)
    pen.point(around((120, 90), 73, 60), 230, 40, "drum: glaze, cracks")
    pen.point(around((120, 90), 48, 4), 230, 66, "spring: hooks, coils")
    pen.point(around((120, 90), 50, 80), 230, 92, "shoe: lining, pivot")
    pen.point((126, 96), 230, 118, "hub, key and nut")
    pen.say(352, 168, "all shoes pulled in evenly", "end")


def oil_level(pen: Pen) -> None:
    """Gearbox level: engine level, oil to the maker's mark."""
    pen.shape((40, 40), (190, 40), (210, 150), (30, 150))
    pen.shape((36, 104), (202, 104), (210, 150), (30, 150), fill="shade", edge="hair")
    pen.ring(88, 94, 24, fill="paper")
    pen.ring(150, 104, 34, fill="paper")
    pen.box(112, 24, 24, 16, fill="solid")
    pen.box(196, 98, 20, 14, fill="solid")
    pen.box(110, 150, 24, 12, fill="solid")
    pen.point((130, 28), 232, 32, "filler, vent open")
    pen.point((210, 104), 232, 90, "level: maker's mark")
    pen.say(232, 106, "engine level")
    pen.point((126, 160), 232, 150, "drain: new ring,")
    pen.say(232, 166, "the maker's torque")


def chip_on_magnet(pen: Pen) -> None:
    """What clings to the magnet: paste, or chips."""
    pen.box(30, 90, 60, 50, fill="shade")
    pen.shape((26, 90), (34, 76), (60, 70), (88, 78), (94, 90), fill="shade")
    pen.say(60, 160, "grey paste: usual", "middle")
    pen.box(150, 90, 60, 50, fill="shade")
    for x, y in ((152, 82), (168, 72), (184, 80), (196, 70)):
        pen.shape((x, y), (x + 12, y - 6), (x + 14, y + 4), (x + 4, y + 10), fill="solid")
    pen.line((168, 54), (168, 62), style="signal")
    pen.line((182, 54), (182, 62), style="signal")
    pen.line((168, 58), (182, 58), style="signal")
    pen.say(180, 160, "chips", "middle")
    pen.figure(352, 34, anchor="end")
    pen.say(352, 52, "the largest, by lens", "end")
    pen.say(352, 90, "white cloth,", "end")
    pen.say(352, 106, "tray in the light", "end")


def backlash(pen: Pen) -> None:
    """Dial on a tooth's radius, the other gear held, four positions."""
    pen.ring(110, 96, 60)
    for n in range(24):
        pen.line(around((110, 96), 60, 15 * n), around((110, 96), 67, 15 * n), style="edge")
    pen.ring(110, 96, 12, fill="shade")
    pen.dial(240, 60, (176, 80))
    pen.turn((110, 96), 40, -30, 30)
    pen.turn((110, 96), 30, 30, -30)
    for deg, name in ((0, "1"), (90, "2"), (180, "3"), (270, "4")):
        at = around((110, 96), 50, deg)
        pen.say(at[0], at[1] + 5, name, "middle")
    pen.say(352, 110, "crank held", "end")
    pen.say(352, 128, "four positions", "end")
    pen.say(352, 146, "the maker's figure", "end")
    pen.say(352, 24, "plug out, ignition grounded", "end")


def gear_teeth(pen: Pen) -> None:
    """Flanks of the teeth: even wear, pitting, a broken corner."""
    for x, kind in ((10, "even"), (130, "pits"), (250, "broken")):
        corner = (
            ((x + 60, 40), (x + 66, 62)) if kind != "broken" else ((x + 48, 40), (x + 52, 56), (x + 66, 70))
        )
        pen.shape((x, 130), (x + 22, 110), (x + 36, 40), *corner, (x + 78, 110), (x + 100, 130))
        if kind == "pits":
            for dx, dy in ((34, 76), (38, 88), (32, 96), (40, 66)):
                pen.ring(x + dx, dy, 2.5, fill="signal-solid", edge="hair")
        if kind == "even":
            pen.line((x + 30, 100), (x + 38, 60), style="ink")
            pen.right(x + 88, 60)
        else:
            pen.wrong(x + 90, 60)
    pen.say(60, 154, "even bright band", "middle")
    pen.say(180, 154, "pits", "middle")
    pen.say(300, 154, "corner gone", "middle")
    pen.say(8, 20, "each flank of each tooth, clean, good light")
    pen.say(8, 172, "key and slot; seats for turning marks; shims as found")


def shaft_dials(pen: Pen) -> None:
    """The propeller shaft under a dial: on the hub's seat and on its face."""
    pen.box(20, 60, 100, 90, fill="shade")
    pen.say(70, 110, "drive", "middle")
    pen.box(120, 92, 110, 26)
    pen.box(230, 62, 18, 86)
    pen.dial(180, 44, (180, 92))
    pen.dial(318, 76, (248, 76))
    pen.turn((150, 105), 44, 150, 210)
    pen.say(180, 20, "1  seat", "middle")
    pen.say(318, 48, "2  face", "middle")
    pen.say(352, 128, "slowly, by hand", "end")
    pen.say(352, 146, "the maker's figure", "end")
    pen.say(8, 168, "plug out, ignition grounded")


def hub_paint(pen: Pen) -> None:
    """Nut, key and witness paint: whole, or stepped."""
    for x, moved in ((84, False), (264, True)):
        pen.ring(x, 82, 56)
        pen.nut(x, 82, 32)
        pen.line((x - 54, 78), (x - 33, 79), style="signal")
        shift = 10 if moved else 0
        pen.line((x - 30, 79 + shift), (x - 16, 80 + shift), style="signal")
        pen.box(x - 5, 60, 10, 8, fill="solid")
        (pen.wrong if moved else pen.right)(x + 66, 40)
        pen.say(x, 158, "line stepped: it moved" if moved else "line whole", "middle")
    pen.say(8, 174, "never slackened to try it")


def pulley_look(pen: Pen) -> None:
    """A pulley cut through: ribs and edges, the key, the bearing's play."""
    pen.shape((40, 40), (50, 30), (150, 30), (160, 40), (160, 74), (40, 74))
    for n in range(5):
        pen.line((58 + 20 * n, 30), (64 + 20 * n, 42), (70 + 20 * n, 30))
    pen.shape((40, 118), (160, 118), (160, 152), (150, 162), (50, 162), (40, 152))
    for n in range(5):
        pen.line((58 + 20 * n, 162), (64 + 20 * n, 150), (70 + 20 * n, 162))
    pen.box(20, 86, 170, 20, fill="shade")
    for x in (52, 128):
        pen.ring(x + 10, 80, 5)
        pen.ring(x + 10, 112, 5)
    pen.point((104, 42), 214, 30, "ribs: sharp, clean")
    pen.point((160, 40), 214, 62, "edge: no burr")
    pen.point((143, 80), 214, 94, "bearing: quiet,")
    pen.say(214, 110, "no play when rocked")
    pen.say(214, 152, "dry, no solvent left")

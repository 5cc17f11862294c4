"""Controls: throttle cable and lever, stop circuit."""

from __future__ import annotations

from tickover.workshop.drawings.plates.pen import Pen, around


def cable_slack(pen: Pen) -> None:
    """The throttle lever on its idle stop, and the slack of the cable."""
    pen.box(8, 92, 70, 22, fill="shade")
    pen.point((40, 92), 8, 70, "adjuster, locked")
    pen.line((78, 103), (176, 103), style="track")
    pen.line((78, 103), (126, 116), (176, 103), style="dash")
    pen.ring(186, 103, 9, fill="shade")
    pen.shape((180, 96), (192, 96), (244, 146), (232, 156))
    pen.ring(238, 150, 11)
    pen.box(150, 134, 40, 14, fill="shade")
    pen.line((190, 141), (216, 138), style="ink")
    pen.point((170, 148), 60, 168, "idle stop: lever touches it")
    pen.across_to(84, 174, 186)
    pen.figure(352, 60, anchor="end")
    pen.say(352, 78, "slack at the lever", "end")
    pen.say(8, 20, "grip released, cable pushed to both sides")
    pen.say(262, 154, "throttle shaft")


def throttle_stops(pen: Pen) -> None:
    """The lever goes from stop to stop and comes back by its spring."""
    centre = (130.0, 132.0)
    for deg, style in ((-50, "edge"), (50, "dash")):
        tip = around(centre, 92, deg)
        pen.line(centre, tip, style="track" if style == "edge" else style)
        pen.ring(*tip, 7, fill="shade")
    pen.ring(*centre, 12, fill="shade")
    pen.box(22, 50, 20, 28, fill="shade")
    pen.box(222, 50, 20, 28, fill="shade")
    pen.say(8, 108, "idle stop")
    pen.say(222, 96, "full stop")
    pen.turn(centre, 58, 40, -40)
    pen.say(130, 66, "snaps back", "middle")
    pen.say(352, 20, "look at the lever, not at the grip", "end")
    pen.say(190, 150, "full: cable without strain")
    pen.say(190, 166, "let go: shut, by itself")


def stop_circuit(pen: Pen) -> None:
    """Ohmmeter from the unplugged stop wire to the engine: pressed, then let go."""
    for x, pressed in ((10, True), (190, False)):
        pen.box(x, 20, 56, 34)
        pen.say(x + 28, 42, "meter", "middle")
        pen.line((x + 14, 54), (x + 14, 96), (x + 40, 96), style="track")
        pen.line((x + 42, 54), (x + 42, 74), (x + 100, 74), (x + 100, 96), style="track")
        pen.box(x + 56, 96, 90, 34)
        pen.say(x + 101, 118, "engine", "middle")
        pen.ring(x + 40, 96, 4, fill="solid")
        pen.line((x + 40, 96), (x + 40, 144))
        pen.line((x + 40, 144), (x + 64, 144 if pressed else 136))
        pen.ring(x + 66, 144, 4)
        pen.line((x + 70, 144), (x + 101, 144), (x + 101, 130))
        pen.say(x, 168, "pressed" if pressed else "let go")
    pen.figure(74, 168)
    pen.say(240, 168, "far over: open")


def other_stop(pen: Pen) -> None:
    """Three other ways to stop: choke, tap, clamp on the fuel line."""
    pen.shape((10, 40), (100, 40), (100, 110), (10, 110))
    pen.line((55, 44), (55, 106), style="track")
    pen.turn((55, 75), 26, 90, 10)
    pen.say(55, 132, "choke shut", "middle")
    pen.line((130, 66), (222, 66))
    pen.line((130, 84), (222, 84))
    pen.ring(176, 75, 20)
    pen.box(172, 40, 8, 70, fill="shade")
    pen.say(176, 132, "tap across", "middle")
    pen.line((252, 66), (288, 66), (294, 73), (304, 73), (310, 66), (346, 66))
    pen.line((252, 84), (288, 84), (294, 77), (304, 77), (310, 84), (346, 84))
    pen.arrow((299, 40), (299, 70))
    pen.arrow((299, 110), (299, 80))
    pen.say(299, 132, "line clamped", "middle")
    pen.say(8, 18, "one of these, tried, then opened again")
    pen.say(180, 160, "see it open before the engine is started", "middle")


def cap_earthed(pen: Pen) -> None:
    """The cap off the plug and earthed; the switch tied to off."""
    pen.shape((20, 150), (20, 96), (150, 96), (150, 150))
    for n in (0, 1, 3, 4):
        pen.line((28 + 26 * n, 96), (28 + 26 * n, 70), style="ink")
    pen.box(76, 56, 20, 40, fill="shade")
    pen.box(82, 34, 8, 22)
    pen.point((86, 34), 20, 22, "plug: nothing on it")
    pen.shape((232, 84), (268, 84), (268, 120), (232, 120), fill="shade")
    pen.line((250, 84), (250, 50), (320, 40), style="track")
    pen.line((232, 104), (150, 116), style="signal")
    pen.ring(150, 116, 5, fill="solid")
    pen.point((262, 112), 352, 152, "cap, away from the plug", "end")
    pen.say(160, 136, "earthed")
    pen.say(352, 170, "switch at off, tied", "end")


def cap_home(pen: Pen) -> None:
    """The plug cap on: pushed to the click; the lead not turned or strained."""
    for x, home in ((70, True), (240, False)):
        pen.box(x - 22, 120, 60, 30)
        pen.box(x - 2, 92, 20, 28, fill="shade")
        pen.box(x + 4, 60, 8, 32)
        top = 44 if home else 14
        pen.shape((x - 10, top), (x + 26, top), (x + 26, top + 52), (x - 10, top + 52), fill="shade")
        pen.line((x + 8, top), (x + 8, top - 10), (x + 40, top - 12), style="track")
        (pen.right if home else pen.wrong)(x + 60, 84)
        pen.say(x + 8, 168, "clicked, sits still" if home else "half on: it will come off", "middle")

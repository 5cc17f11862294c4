"""Every plate by the name that a limit or an act of the type sheet gives it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tickover.workshop.drawings.plates import (
    carburettor,
    controls,
    crank,
    drive,
    exhaust,
    frame,
    fuel,
    ignition,
    propeller,
    running,
    top_end,
)
from tickover.workshop.drawings.plates.pen import Pen

TURNED = "Plug out and ignition grounded before the crank is turned."
STRAPPED = "Only on a restrained machine, nobody in the propeller's plane."
SEALED = "Ignition grounded, fuel closed, no flame or spark near."


@dataclass(frozen=True)
class Plate:
    """How it is drawn, its title, and the state of the engine it holds for."""

    draw: Callable[[Pen], None]
    title: str
    state: str = ""


PLATES: dict[str, Plate] = {
    # Carburettor
    "lever-height": Plate(
        carburettor.lever_height,
        "Metering lever height",
        "Needle closed by its spring alone, lever screw tight. Do not press on the lever while you read.",
    ),
    "diaphragm-hook": Plate(carburettor.diaphragm_hook, "Diaphragm in the lever's fork"),
    "pop-off": Plate(carburettor.pop_off, "Pop-off pressure", f"Pump side closed. {SEALED}"),
    "reseat": Plate(carburettor.reseat, "Where the needle closes again", SEALED),
    "inlet-hold": Plate(carburettor.inlet_hold, "Pressure held by the inlet needle", SEALED),
    "needle-turns": Plate(
        carburettor.needle_turns, "Turns of a needle", "Never tightened: a forced needle cuts its seat."
    ),
    "pulse-holes": Plate(carburettor.pulse_holes, "Pulse holes in line"),
    "welch-plug": Plate(carburettor.welch_plug, "Welch plug"),
    "pump-flaps": Plate(carburettor.pump_flaps, "Flaps of the pump diaphragm"),
    "shaft-play": Plate(carburettor.shaft_play, "Play of the throttle shaft"),
    "needle-seat": Plate(carburettor.seat_narrow, "Inlet needle and seat"),
    # Fuel
    "hose-on-barb": Plate(fuel.hose_on_barb, "Hose and clip on a barb"),
    "pulse-hose": Plate(fuel.pulse_hose, "Pulse hose"),
    "leak-look": Plate(fuel.leak_look, "Joints to watch for leaks", "No flame or spark near, moving air."),
    "vent": Plate(fuel.vent_both_ways, "Vent of the tank", "By a hand pump, never by mouth."),
    "pump-delivery": Plate(fuel.pump_delivery, "Pressure of the fuel pump", STRAPPED),
    "pulse-swing": Plate(fuel.pulse_swing, "Swing of the pulse", "Ignition grounded, machine held."),
    "fuel-burn": Plate(fuel.fuel_burn, "Fuel burnt by weight", STRAPPED),
    # Controls and stop circuit
    "cable-slack": Plate(controls.cable_slack, "Slack of the throttle cable"),
    "throttle-stops": Plate(controls.throttle_stops, "Throttle lever from stop to stop"),
    "stop-circuit": Plate(
        controls.stop_circuit,
        "Stop circuit",
        "Stop wire unplugged at the ignition unit, plug cap off and earthed.",
    ),
    "other-stop": Plate(controls.other_stop, "The other way to stop"),
    "cap-earthed": Plate(controls.cap_earthed, "Plug cap off and earthed"),
    "cap-home": Plate(controls.cap_home, "Plug cap on", "Stop switch tried before the cap goes on."),
    # Ignition and starter
    "plug-gap": Plate(
        ignition.plug_gap,
        "Spark plug gap",
        "The wire just drags. Flat feelers read too small on a worn electrode.",
    ),
    "plug-torque": Plate(ignition.plug_torque, "Spark plug torque"),
    "plug-colour": Plate(ignition.plug_colour, "Firing end of the plug"),
    "cap-resistance": Plate(ignition.cap_resistance, "Resistance of the plug cap"),
    "pick-up-gap": Plate(ignition.pick_up_gap, "Air gap of the pick-up", TURNED),
    "timing": Plate(ignition.timing, "Ignition timing", TURNED),
    "flywheel-key": Plate(ignition.flywheel_key, "Key in its slot"),
    "spark-ready": Plate(
        ignition.spark_ready, "Plug earthed for a try", "Machine held, nobody in the propeller's plane."
    ),
    "starter-pinion": Plate(ignition.starter_pinion, "Starter motor", "Battery's plug drawn."),
    "battery-off": Plate(ignition.battery_off, "Battery isolated"),
    # Top end
    "squish": Plate(
        top_end.squish,
        "Squish clearance",
        "Solder along the pin axis, to the wall on both sides; turn once past top dead centre by hand. "
        "Plug out, ignition grounded.",
    ),
    "ring-gap": Plate(top_end.ring_gap, "Ring end gap"),
    "ring-on": Plate(top_end.ring_on, "Ring ends at the peg"),
    "ring-groove": Plate(top_end.ring_groove, "Ring groove clearance"),
    "circlip": Plate(top_end.circlip, "Open end of the circlip"),
    "piston-arrow": Plate(
        top_end.piston_arrow, "Piston the right way round", "Where the maker says otherwise, the maker's way."
    ),
    "bore-six": Plate(top_end.bore_six, "Six readings of the bore"),
    "piston-clearance": Plate(top_end.piston_clearance, "Piston to cylinder clearance"),
    "face-flat": Plate(top_end.face_flat, "Flatness of a face"),
    "carbon": Plate(top_end.carbon, "Where carbon is read"),
    "cloth-count": Plate(top_end.cloth_count, "Cloths and caps counted out"),
    "compression": Plate(
        top_end.compression, "Cranking compression", "Ignition grounded, cap earthed, machine held."
    ),
    "reed-gap": Plate(top_end.reed_gap, "Reed tip gap"),
    "reed-stop": Plate(top_end.reed_stop, "Height of the reed's stop"),
    # Crankshaft and case
    "run-out": Plate(crank.run_out, "Crankshaft run-out", TURNED),
    "end-float": Plate(crank.end_float, "Crankshaft end float", "No lever on the flywheel's edge."),
    "big-end-side": Plate(crank.big_end_side, "Big end, side clearance"),
    "big-end-radial": Plate(crank.big_end_radial, "Big end, radial play"),
    "small-end": Plate(crank.small_end, "Small end play"),
    "seal-lip": Plate(crank.seal_lip, "Lip of a crankshaft seal"),
    "seal-depth": Plate(crank.seal_depth, "Depth of a seal"),
    "bearing-press": Plate(crank.bearing_press, "Bearing pressed in"),
    "case-test": Plate(
        crank.case_test,
        "Crankcase closed for the test",
        "Engine cold. Pumped slowly; let off before a plate is touched.",
    ),
    "turn-by-hand": Plate(crank.turn_by_hand, "Turned by hand"),
    # Drive
    "belt-pluck": Plate(
        drive.belt_pluck, "Belt span frequency", f"Cold, after three turns by hand. {TURNED}"
    ),
    "belt-alignment": Plate(drive.belt_alignment, "Belt pulleys in line", TURNED),
    "eccentric": Plate(drive.eccentric, "Eccentric and its clamp", TURNED),
    "clutch": Plate(drive.clutch_shoes, "Clutch", "No solvent or oil on the linings; do not blow the dust."),
    "oil-level": Plate(drive.oil_level, "Gearbox oil", "Grade and amount are the maker's."),
    "chip-on-magnet": Plate(drive.chip_on_magnet, "Metal on the magnet"),
    "pulleys": Plate(drive.pulley_look, "Pulleys and their bearings", TURNED),
    "backlash": Plate(drive.backlash, "Backlash of the gears"),
    "gear-teeth": Plate(drive.gear_teeth, "Teeth of the gears"),
    "shaft-dials": Plate(drive.shaft_dials, "Run-out of the propeller shaft"),
    "hub-paint": Plate(drive.hub_paint, "Nut, key and witness paint", "Torque: the engine maker's figure."),
    # Exhaust
    "spring-and-wire": Plate(exhaust.spring_and_wire, "Exhaust spring and its wire"),
    "exhaust-cracks": Plate(exhaust.exhaust_cracks, "Where an exhaust cracks", "Cold exhaust."),
    "pipe-free": Plate(exhaust.pipe_free, "Pipe free of stress"),
    "silencer": Plate(exhaust.port_view, "Silencer, core and shell"),
    # Propeller
    "blade-track": Plate(
        propeller.blade_track,
        "Track of the blades",
        "Plug out and ignition grounded before a hand touches the propeller. Bolts at torque.",
    ),
    "locking": Plate(propeller.locking, "Bolts locked and marked"),
    "hub-faces": Plate(propeller.hub_faces, "Faces of hub and propeller"),
    "hub-cracks": Plate(propeller.hub_cracks, "Where a hub cracks"),
    "wood-cracks": Plate(propeller.wood_cracks, "Cracks of a wooden propeller"),
    "composite-look": Plate(propeller.composite_look, "Damage of a composite blade"),
    "bolt-holes": Plate(propeller.bolt_holes, "Bolt holes and bushes"),
    "balance": Plate(propeller.balance, "Static balance"),
    "bolts-tried": Plate(propeller.bolts_tried, "Propeller bolts tried", "The maker's figure comes first."),
    "blade-forward": Plate(
        propeller.blade_forward, "Propeller the right way round", "Plug cap off and ignition grounded."
    ),
    "blades": Plate(propeller.blades_look, "Blades, bolts, paint", "Plug cap off and ignition grounded."),
    # Run
    "restraint": Plate(running.restraint, "Machine restrained for a run"),
    "clear-plane": Plate(running.clear_plane, "Who is where at a run"),
    "look-over": Plate(
        running.look_over, "Places to look at", "Plug cap off, ignition grounded, hot parts left alone."
    ),
    "stop-press": Plate(running.stop_first_press, "Stopped by the switch"),
    "made-safe": Plate(running.made_safe, "Engine made safe"),
    "mist": Plate(running.mist, "Mist round the intake joints", "Water only. " + STRAPPED),
    "washer-probe": Plate(running.washer_probe, "Head temperature", STRAPPED),
    "pipe-probe": Plate(running.pipe_probe, "Exhaust gas temperature", STRAPPED),
    "tachometer": Plate(running.tachometer, "Speed", STRAPPED),
    "thrust-cell": Plate(running.thrust_cell, "Static thrust", STRAPPED),
    "warm-up": Plate(running.warm_up, "First run", STRAPPED),
    "engagement": Plate(running.engagement, "Clutch engagement", STRAPPED),
    # Mounts and frame
    "rubber-block": Plate(frame.rubber_block, "Silent block"),
    "crack-places": Plate(frame.crack_places, "Where plates and tubes crack"),
    "arm-play": Plate(frame.arm_play, "Play of a swing arm"),
    "strap-places": Plate(frame.strap_places, "Straps and seams"),
    "bridle": Plate(frame.bridle_free, "Bridle of the reserve"),
    "after-strike": Plate(frame.whole_turn, "What a strike may have bent", TURNED),
}

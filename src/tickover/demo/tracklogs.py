"""An invented flight with a paramotor, written as an IGC file whose noise channel follows the engine.

Nothing in it is real: names, recorder and place come from here and from the given random generator.
Layout: FAI, Technical Specification for GNSS Flight Recorders, appendix A; no signature (G record).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

WARM_UP_S = 90.0
FULL_POWER_S = 150.0
PACK_UP_S = 60.0
AIRSPEED_M_S = 10.5
SINK_M_S = 1.2
METRES_PER_DEGREE = 111_195.0
NOISE = {"off": (100.0, 18.0), "idle": (450.0, 20.0), "cruise": (720.0, 25.0), "full": (850.0, 25.0)}
RPM = {"off": (0.0, 0.0), "idle": (2100.0, 60.0), "cruise": (6200.0, 120.0), "full": (7900.0, 90.0)}
CLIMB_M_S = {"off": -SINK_M_S, "idle": -0.9, "cruise": 0.0, "full": 2.2}


@dataclass(frozen=True)
class DemoPoint:
    """Where the machine is: metres east and north of the field, metres above it, course [rad]."""

    east_m: float = 0.0
    north_m: float = 0.0
    height_m: float = 0.0
    course: float = 0.0


def make_igc(
    rng: np.random.Generator,
    start: datetime,
    runs_min: Sequence[tuple[float, float]],
    *,
    channel: str | None = "ENL",
    interval_s: int = 4,
    pilot: str = "Ansa Veldrik",
) -> bytes:
    """Write one flight.

    Parameters
    ----------
    rng : numpy.random.Generator
        Everything that is left to chance comes from it: the same generator gives the same file.
    start : datetime
        Time of the first fix, UTC.
    runs_min : sequence of pairs of float
        Start and end of each engine run, from the first fix. [min]
    channel : "ENL", "MOP" or "RPM", optional
        Channel that hears the engine; None for a recorder without one.
    interval_s : int
        Time between two fixes. [s]
    pilot : str
        Name for the header; invented.

    Returns
    -------
    bytes
        An IGC file.
    """
    lat_deg, lon_deg = 52.4 + rng.uniform(-0.3, 0.3), 14.1 + rng.uniform(-0.3, 0.3)
    wind_m_s = (float(rng.normal(0.0, 1.5)), float(rng.normal(0.0, 1.5)))
    field_m = float(rng.uniform(30.0, 180.0))
    t_s, landed_s = 0, max((end for _, end in runs_min), default=2.0) * 60.0
    point, lines = DemoPoint(course=float(rng.uniform(0.0, math.tau))), _header(start, channel, pilot)
    while t_s <= landed_s + PACK_UP_S:
        throttle = _throttle(t_s, runs_min)
        point = _step(point, throttle, interval_s, float(rng.normal(0.0, 0.08)), wind_m_s)
        lat = lat_deg + point.north_m / METRES_PER_DEGREE
        lon = lon_deg + point.east_m / (METRES_PER_DEGREE * math.cos(math.radians(lat_deg)))
        altitude_m = field_m + point.height_m + float(rng.normal(0.0, 0.8))
        level = _level(rng, channel, throttle, airborne=point.height_m > 0)
        lines.append(_fix(start + timedelta(seconds=t_s), lat, lon, altitude_m, level))
        landed_s = max(landed_s, t_s * (point.height_m > 0.0))
        t_s += interval_s
    return "".join(f"{line}\r\n" for line in lines).encode("ascii", "replace")


def _header(start: datetime, channel: str | None, pilot: str) -> list[str]:
    announced = {None: [], "RPM": ["I013640RPM"]}.get(channel, [f"I013638{channel}"])
    return [
        "AXXX001TICKOVER DEMO",
        f"HFDTEDATE:{start:%d%m%y},01",
        f"HFPLTPILOTINCHARGE:{pilot}",
        "HFGTYGLIDERTYPE:Invented paramotor",
        "HFDTMGPSDATUM:WGS84",
        "HFFTYFRTYPE:Invented recorder",
        "HFFRSSECURITY:invented flight, not signed",
        *announced,
    ]


def _throttle(t_s: float, runs_min: Sequence[tuple[float, float]]) -> str:
    """Off outside the runs; in a run idle to warm up, full to climb, then cruise."""
    for begin_min, end_min in runs_min:
        inside_s = t_s - begin_min * 60.0
        if inside_s >= 0.0 and t_s < end_min * 60.0:
            warm_s = min(WARM_UP_S, (end_min - begin_min) * 60.0 * 0.2)
            if inside_s < warm_s:
                return "idle"
            return "full" if inside_s < warm_s + FULL_POWER_S else "cruise"
    return "off"


def _step(
    point: DemoPoint, throttle: str, step_s: float, turn: float, wind_m_s: tuple[float, float]
) -> DemoPoint:
    """Move on by one fix: on the ground only at full throttle; in the air with the wind."""
    if point.height_m <= 0.0 and throttle != "full":
        return point
    course = point.course + turn + 0.02 * step_s / 4.0
    return DemoPoint(
        point.east_m + (AIRSPEED_M_S * math.sin(course) + wind_m_s[0]) * step_s,
        point.north_m + (AIRSPEED_M_S * math.cos(course) + wind_m_s[1]) * step_s,
        max(0.0, point.height_m + CLIMB_M_S[throttle] * step_s),
        course,
    )


def _level(rng: np.random.Generator, channel: str | None, throttle: str, *, airborne: bool) -> str:
    """Value of the channel as it stands in the file: noise 000 to 999, rpm with five digits."""
    if channel is None:
        return ""
    mean, sd = (RPM if channel == "RPM" else NOISE)[throttle]
    quiet = channel != "RPM" and throttle == "off" and not airborne
    value = round(float(rng.normal(mean * (0.3 if quiet else 1.0), sd)))
    return f"{max(0, value):05d}" if channel == "RPM" else f"{min(999, max(0, value)):03d}"


def _fix(moment: datetime, lat_deg: float, lon_deg: float, altitude_m: float, level: str) -> str:
    where = _angle(lat_deg, 2, "NS") + _angle(lon_deg, 3, "EW")
    return f"B{moment:%H%M%S}{where}A{round(altitude_m):05d}{round(altitude_m) + 42:05d}{level}"


def _angle(degrees: float, digits: int, signs: str) -> str:
    whole, rest = divmod(round(abs(degrees) * 60_000), 60_000)
    return f"{whole:0{digits}d}{rest:05d}{signs[degrees < 0]}"

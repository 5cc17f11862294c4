"""Which torque does a steel aircraft bolt of inch thread take, where its maker gives none?

References
----------
FAA, Advisory Circular 43.13-1B (1998), table 7-1: oil-free cadmium-plated threads, torque on the nut; the friction
drag of a self-locking nut is added (section 7-40).
"""

from __future__ import annotations

from dataclasses import dataclass

from tickover.science.core.input_checks import checked_choice, checked_one
from tickover.science.core.plausible import DRAG_NM
from tickover.science.core.working import Quantity, Working
from tickover.science.fasteners.preload_and_torque import NEWTON_METRES

__all__ = ["NUTS", "THREADS", "BoltTorque", "bolt_torque"]

NUTS = ("tension", "shear")
_TABLE = {
    "8-36": (12, 15, 20, 7, 9, 12),
    "10-32": (20, 25, 40, 12, 15, 25),
    "1/4-28": (50, 70, 100, 30, 40, 60),
    "5/16-24": (100, 140, 225, 60, 85, 140),
    "3/8-24": (160, 190, 390, 95, 110, 240),
    "7/16-20": (450, 500, 840, 270, 300, 500),
    "1/2-20": (480, 690, 1100, 290, 410, 660),
    "9/16-18": (800, 1000, 1600, 480, 600, 960),
    "5/8-18": (1100, 1300, 2400, 600, 780, 1400),
    "3/4-16": (2300, 2500, 5000, 1300, 1500, 3000),
    "8-32": (12, 15, 20, 7, 9, 12),
    "10-24": (20, 25, 35, 12, 15, 21),
    "1/4-20": (40, 50, 75, 25, 30, 45),
    "5/16-18": (80, 90, 160, 48, 55, 100),
    "3/8-16": (160, 185, 275, 95, 100, 170),
    "7/16-14": (235, 255, 475, 140, 155, 280),
    "1/2-13": (400, 480, 880, 240, 290, 520),
    "9/16-12": (500, 700, 1100, 300, 420, 650),
    "5/8-11": (700, 900, 1500, 420, 540, 900),
    "3/4-10": (1150, 1600, 2500, 700, 950, 1500),
}
"""Least, most and allowed of tension nuts, then the same of shear nuts, as printed; some makers' copies
have 660 where it has 600 (5/8-18), and 110 where it has 100 (3/8-16). [lbf.in]"""
THREADS = tuple(_TABLE)
"""Diameter in inches, or its number, and threads to the inch."""


@dataclass(frozen=True)
class BoltTorque:
    """What a bolt is tightened to: between `least_nm` and `most_nm`, never above `allowed_nm`. [N.m]

    All three have the friction drag of the nut in them.
    """

    thread: str
    nut: str
    drag_nm: float
    least_nm: float
    most_nm: float
    allowed_nm: float

    def working(self) -> Working:
        """How the torques came about."""
        return Working(
            title="torque of a steel aircraft bolt",
            formula="torque of the table + friction drag of the nut",
            inputs=(
                Quantity("thread", self.thread, ""),
                Quantity("nut", self.nut, ""),
                Quantity("friction drag of the nut", self.drag_nm, "N.m"),
                Quantity("most recommended", self.most_nm, "N.m"),
                Quantity("most allowed", self.allowed_nm, "N.m"),
            ),
            result=Quantity("least recommended", self.least_nm, "N.m"),
            validity="cadmium-plated steel, clean, dry threads, nut turned on the bolt; not for a screw in aluminium, "
            "a stud, or wood under the head",
            source="FAA, AC 43.13-1B (1998), table 7-1",
            authority="common practice of the authority; the maker's torque comes first",
        )


def bolt_torque(thread: str, nut: str = "tension", drag_nm: float = 0.0) -> BoltTorque:
    """Torque for a steel bolt of inch thread.

    Parameters
    ----------
    thread : str
        One of `THREADS`, such as "1/4-28".
    nut : str
        "tension" for a full nut, "shear" for a thin one.
    drag_nm : float
        What turns the nut before it bears, 0 to 50. [N.m]

    Returns
    -------
    BoltTorque

    Raises
    ------
    OutOfRangeError

    Examples
    --------
    >>> found = bolt_torque(thread='1/4-28', drag_nm=1.0, nut='tension')
    >>> print(f"{found.least_nm:.4g}")
    6.649
    """
    row = _TABLE[checked_choice("thread", thread, THREADS)]
    of_nut = row[:3] if checked_choice("nut", nut, NUTS) == "tension" else row[3:]
    drag = float(DRAG_NM.checked(checked_one("friction drag of the nut", drag_nm, 0.0, 50.0, "N.m")))
    least, most, allowed = (drag + inches * NEWTON_METRES["lbf.in"] for inches in of_nut)
    return BoltTorque(thread, nut, drag, least, most, allowed)

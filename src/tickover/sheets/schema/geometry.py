"""What an engine type is made of: cylinder, carburettor, reduction, start and propeller.

Every figure that a sum needs and a sheet may not know is optional: a blank to fill, never a guess.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from tickover.science.engine.cylinder import swept_cm3
from tickover.sheets.schema.rows import Authority, Number, Positive, Row, Text, Whole

Share = Annotated[Number, Field(gt=0, lt=1)]
PortAngle = Annotated[Number, Field(gt=0, lt=180)]


class Propeller(Row):
    """The propeller the sheet's running figures hold for. Diameter and pitch [mm]."""

    title: Text
    diameter_mm: Positive
    pitch_mm: Positive
    blades: Annotated[Whole, Field(ge=1)]


class Geometry(Row):
    """What the sums of a type need. Bore, stroke, rod and carburettor bore [mm], ports [deg after top centre].

    `gear_ratio`: crank turns for one of the propeller; `petrol_to_oil` by volume. `case_volume_cm3`: crankcase,
    transfers and cylinder with the piston at bottom centre; `head_volume_cm3`: what is left at top centre.
    `squish_band_fraction`: share of the piston's area under the squish band. `belt_span_m`: free span, tangent
    point to tangent point.
    """

    bore_mm: Positive
    stroke_mm: Positive
    rod_length_mm: Positive | None = None
    gear_ratio: Positive
    petrol_to_oil: Positive
    start: Literal["recoil", "electric", "recoil and electric"] | None = None
    reduction: Literal["belt", "gear"] | None = None
    gear_teeth_driver: Annotated[Whole, Field(ge=5)] | None = None
    carburettor_bore_mm: Positive | None = None
    case_volume_cm3: Positive | None = None
    head_volume_cm3: Positive | None = None
    exhaust_opens_deg_atdc: PortAngle | None = None
    transfer_opens_deg_atdc: PortAngle | None = None
    squish_band_fraction: Share | None = None
    clutch_engages_rpm: Positive | None = None
    belt_span_m: Positive | None = None
    belt_mass_kg_per_m: Positive | None = None
    belt_tension_n: Positive | None = None
    propeller: Propeller
    authority: Authority
    source: str = ""

    @property
    def displacement_cm3(self) -> float:
        """Swept volume of one cylinder [cm3]."""
        return float(swept_cm3(self.bore_mm, self.stroke_mm))

"""How much air does a fuel want, how heavy is it today, and what do ethanol and oil change?

References
----------
J. B. Heywood, Internal Combustion Engine Fundamentals (1988), equation 3.6, for the air a fuel wants. ASTM
D1250-80 / ISO 91-1, table 54B, for the density of petrol against temperature (constants from memory). EN 228
allows 720 to 775 kg/m3 at 15 degrees Celsius; the middle is taken for petrol.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tickover.science.core.input_checks import OutOfRangeError, checked, checked_one
from tickover.science.core.kinds import checked_fields, kinds_checked
from tickover.science.core.shapes import one_or_many
from tickover.science.core.working import Quantity, Working

__all__ = [
    "ALKYLATE",
    "E5",
    "E10",
    "ETHANOL",
    "FUELS",
    "PETROL",
    "Fuel",
    "Premix",
    "from_atoms",
    "stoichiometric_air",
    "with_ethanol",
]

Array = NDArray[np.float64]

CARBON, HYDROGEN, OXYGEN = 12.011, 1.008, 15.999
"""Molar masses. [g/mol]"""
AIR_PER_OXYGEN = 4.773 * 28.962
"""Air that holds one mole of oxygen molecules. [g/mol] Heywood (1988), 3.2."""
AT_15_C = 288.15
TEMPERATURES_K = (233.15, 333.15)
PETROL_K0, PETROL_K1 = 346.42278, 0.43884
ETHANOL_PER_K = 1.08e-3
OIL_PER_K = 0.75e-3
OIL_KG_M3 = 870.0


@dataclass(frozen=True)
class Fuel:
    """A fuel by its elements, in shares of mass that make 1 together.

    Parameters
    ----------
    carbon, hydrogen, oxygen : float
        Shares of mass, 0 to 1. [-]
    density_15_c_kg_m3 : float
        Density at 15 degrees Celsius, 650 to 900. [kg/m3]
    ethanol_share : float
        Share of volume that is ethanol, 0 to 1. [-]

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, or when the elements do not make 1.
    """

    name: str
    carbon: float
    hydrogen: float
    oxygen: float
    density_15_c_kg_m3: float
    ethanol_share: float = 0.0

    def __post_init__(self) -> None:
        for element in ("carbon", "hydrogen", "oxygen", "ethanol_share"):
            checked_one(f"{element.replace('_', ' ')} of {self.name}", getattr(self, element), 0.0, 1.0, "1")
        checked_one(f"density of {self.name}", self.density_15_c_kg_m3, 650.0, 900.0, "kg/m3")
        total = self.carbon + self.hydrogen + self.oxygen
        hint = "carbon, hydrogen and oxygen are the whole of it"
        checked_one(f"elements of {self.name} together", total, 0.99, 1.01, "", hint)
        checked_fields(self)

    @property
    def stoichiometric_air(self) -> float:
        """Dry air that burns it exactly. [kg/kg]"""
        return float(stoichiometric_air(self.carbon, self.hydrogen, self.oxygen))

    def density_kg_m3(self, temperature_k: ArrayLike = AT_15_C) -> Array:
        """Density at a temperature of 233.15 to 333.15 K. [kg/m3]

        The hydrocarbons follow table 54B, ethanol loses 1.08 parts in a thousand a kelvin (CoolProp, 15 to 30
        degrees Celsius); their volumes are added as if they did not mix. The table is for petrol, 653 to
        770 kg/m3 at 15 degrees Celsius (from memory); beyond it the figure is an extrapolation.
        """
        kelvin = checked("fuel temperature", temperature_k, *TEMPERATURES_K, "K")
        alpha = PETROL_K0 / self.density_15_c_kg_m3**2 + PETROL_K1 / self.density_15_c_kg_m3
        warmer = kelvin - AT_15_C
        petrol = np.exp(alpha * warmer * (1.0 + 0.8 * alpha * warmer))
        swollen = (1.0 - self.ethanol_share) * petrol + self.ethanol_share * (1.0 + ETHANOL_PER_K * warmer)
        return self.density_15_c_kg_m3 / swollen

    def working(self) -> Working:
        """How much air it wants, and why."""
        return Working(
            title=f"air that burns {self.name} exactly",
            formula="A/F = (C/12.011 + H/(4 · 1.008) − O/(2 · 15.999)) · 4.773 · 28.962",
            inputs=(
                Quantity("carbon C", self.carbon, "kg/kg"),
                Quantity("hydrogen H", self.hydrogen, "kg/kg"),
                Quantity("oxygen O", self.oxygen, "kg/kg"),
                Quantity("ethanol, by volume", self.ethanol_share, ""),
            ),
            result=Quantity("dry air to fuel", self.stoichiometric_air, "kg/kg"),
            validity="fuels at the pump differ by about 1 % from their name",
            source="Heywood, Internal Combustion Engine Fundamentals (1988), equation 3.6",
            authority="handbook",
        )


def stoichiometric_air(carbon: ArrayLike, hydrogen: ArrayLike, oxygen: ArrayLike = 0.0) -> Array:
    """Dry air that burns a fuel exactly, from its elements. [kg/kg]

    Parameters
    ----------
    carbon, hydrogen, oxygen : array_like
        Shares of mass, 0 to 1, of one whole together. [-]

    Returns
    -------
    float or numpy.ndarray
        Common shape of the inputs. [kg/kg]

    Raises
    ------
    OutOfRangeError
        Outside of 0 to 1, or when the fuel brings all of its oxygen with it.

    Examples
    --------
    >>> print(f"{stoichiometric_air(carbon=0.864, hydrogen=0.136, oxygen=0.0):.4g}")
    14.61
    """
    c, h, o = (
        checked(f"{name} of the fuel", given, 0.0, 1.0, "1")
        for name, given in (("carbon", carbon), ("hydrogen", hydrogen), ("oxygen", oxygen))
    )
    checked("elements of the fuel together", c + h + o, 0.0, 1.01, "", "they are shares of one whole")
    wanted = c / CARBON + h / (4.0 * HYDROGEN) - o / (2.0 * OXYGEN)
    if np.any(wanted <= 0.0):
        raise OutOfRangeError("this fuel wants no air: check carbon, hydrogen and oxygen")
    return one_or_many(wanted * AIR_PER_OXYGEN)


@kinds_checked
def from_atoms(name: str, atoms: tuple[float, float, float], density_15_c_kg_m3: float) -> Fuel:
    """A fuel from its formula: how many atoms of carbon, hydrogen and oxygen.

    Parameters
    ----------
    name : str
        What it is called.
    atoms : three of float
        Carbon, hydrogen, oxygen, 0 to 1,000 each, not all 0. [-]
    density_15_c_kg_m3 : float
        At 15 °C. [kg/m3]

    Returns
    -------
    Fuel

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = from_atoms(name='petrol', atoms=(1.0, 1.87, 0.0), density_15_c_kg_m3=745.0)
    >>> print(f"{found.stoichiometric_air:.4g}")
    14.6
    """
    counted = checked(f"atoms of {name}", atoms, 0.0, 1_000.0)
    if counted.shape != (3,) or not counted.any():
        raise OutOfRangeError(f"{name} must have its atoms of carbon, hydrogen and oxygen, three numbers")
    masses = counted * (CARBON, HYDROGEN, OXYGEN)
    carbon, hydrogen, oxygen = (float(part) for part in masses / masses.sum())
    return Fuel(name, carbon, hydrogen, oxygen, density_15_c_kg_m3)


@kinds_checked
def with_ethanol(petrol: Fuel, share: float, name: str) -> Fuel:
    """A petrol without ethanol, blended: `share` of the volume, 0 to 0.85, is ethanol. [-]

    Parameters
    ----------
    petrol : Fuel
        One without ethanol.
    share : float
        Of the volume, 0 to 0.85. [-]
    name : str
        What the blend is called.

    Returns
    -------
    Fuel

    Raises
    ------
    OutOfRangeError
        Outside of those ranges, and for what is no number.

    Examples
    --------
    >>> found = with_ethanol(PETROL, 0.1, "petrol with 10 % ethanol")
    >>> print(f"{found.stoichiometric_air:.4g}")
    14.01
    """
    by_volume = checked_one("ethanol share", share, 0.0, 0.85, "1")
    if petrol.ethanol_share:
        raise OutOfRangeError(f"{petrol.name} has ethanol in it already: blend from a petrol without")
    density = (1.0 - by_volume) * petrol.density_15_c_kg_m3 + by_volume * ETHANOL.density_15_c_kg_m3
    by_mass = by_volume * ETHANOL.density_15_c_kg_m3 / density
    carbon, hydrogen, oxygen = (
        (1.0 - by_mass) * getattr(petrol, part) + by_mass * getattr(ETHANOL, part)
        for part in ("carbon", "hydrogen", "oxygen")
    )
    return Fuel(name, carbon, hydrogen, oxygen, density, by_volume)


@dataclass(frozen=True)
class Premix:
    """Fuel with oil in it, `ratio` litres of fuel to one of oil, 10 to 200; infinite for no oil at all.

    Notes
    -----
    The oil is counted as filling the jet and not as fuel; some of it burns.
    """

    fuel: Fuel
    ratio: float
    oil_15_c_kg_m3: float = OIL_KG_M3

    def __post_init__(self) -> None:
        checked_fields(self)
        if self.ratio != np.inf:
            checked_one(
                "fuel to oil ratio", self.ratio, 10.0, 200.0, "", "50 means fifty of fuel to one of oil"
            )
        checked_one("oil density", self.oil_15_c_kg_m3, 800.0, 1_000.0, "kg/m3")

    @property
    def oil_share(self) -> float:
        """Share of the volume that is oil. [-]"""
        return 1.0 / (self.ratio + 1.0)

    def density_kg_m3(self, temperature_k: ArrayLike = AT_15_C) -> Array:
        """Density of the mixture in the tank, 233.15 to 333.15 K. [kg/m3]"""
        return (1.0 - self.oil_share) * self.fuel.density_kg_m3(temperature_k) + self._oil(temperature_k)

    def fuel_share(self, temperature_k: ArrayLike = AT_15_C) -> Array:
        """Share of the mass that is fuel. [-]"""
        return 1.0 - self._oil(temperature_k) / self.density_kg_m3(temperature_k)

    def strength(self, temperature_k: ArrayLike = AT_15_C) -> Array:
        """What a jet passes for the air to burn: A/F times fuel share times root of density. [(kg/m3)^½]

        Two mixtures through one jet under one suction make the engine richer in the ratio of their strengths.
        """
        root = np.sqrt(self.density_kg_m3(temperature_k))
        return self.fuel.stoichiometric_air * self.fuel_share(temperature_k) * root

    def _oil(self, temperature_k: ArrayLike) -> Array:
        """Oil in a cubic metre of the mixture. [kg/m3]"""
        kelvin = checked("fuel temperature", temperature_k, *TEMPERATURES_K, "K")
        return self.oil_share * self.oil_15_c_kg_m3 / (1.0 + OIL_PER_K * (kelvin - AT_15_C))

    def working(self) -> Working:
        """How much fuel the oil leaves room for."""
        return Working(
            title="fuel that the oil leaves room for",
            formula="share = r/(r + 1)",
            inputs=(Quantity("fuel to oil r", self.ratio, "to 1"),),
            result=Quantity("share of the volume that is fuel", 1.0 - self.oil_share, ""),
            validity="oil counted as not burning; what it does to the flow through small holes is left out",
            source="",
            authority="arithmetic",
        )


ETHANOL = Fuel(
    "ethanol",
    *(2 * CARBON / 46.069, 6 * HYDROGEN / 46.069, OXYGEN / 46.069),
    density_15_c_kg_m3=793.6,
    ethanol_share=1.0,
)
PETROL = from_atoms("petrol without ethanol", (1.0, 1.87, 0.0), 745.0)
"""CH1.87, Heywood (1988), table D.4."""
E5 = with_ethanol(PETROL, 0.05, "petrol with 5 % ethanol")
E10 = with_ethanol(PETROL, 0.10, "petrol with 10 % ethanol")
ALKYLATE = from_atoms("alkylate petrol", (8.0, 18.0, 0.0), 695.0)
"""Taken as iso-octane; the density, 680 to 720 kg/m3 at 15 degrees Celsius, is from memory."""
FUELS = {"e0": PETROL, "e5": E5, "e10": E10, "alkylate": ALKYLATE}

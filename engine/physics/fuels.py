"""What a fuel gas needs to burn, and what it leaves behind, from its composition.

Everything is per mole of fuel gas, which for gases at one temperature and pressure is the same as
per volume.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from engine.errors import OutOfRange, nearest

# Oxygen share of dry air as flue-gas analysers take it when they zero in fresh air, and as the
# air-free formula of the trade takes it. Real dry air has 20.946 % [US Standard Atmosphere 1976];
# 0.9 % argon and 0.04 % CO2 are counted as nitrogen here.
AIR_OXYGEN = 0.209

# Atoms of carbon, hydrogen, oxygen and nitrogen in one molecule.
ATOMS = {
    "CH4": (1, 4, 0, 0),
    "C2H6": (2, 6, 0, 0),
    "C3H6": (3, 6, 0, 0),
    "C3H8": (3, 8, 0, 0),
    "C4H10": (4, 10, 0, 0),
    "C5H12": (5, 12, 0, 0),
    "C6H14": (6, 14, 0, 0),
    "H2": (0, 2, 0, 0),
    "CO": (1, 0, 1, 0),
    "CO2": (1, 0, 2, 0),
    "O2": (0, 0, 2, 0),
    "N2": (0, 0, 0, 2),
}


@dataclass(frozen=True)
class Fuel:
    """A fuel gas, described by what it is made of.

    Parameters
    ----------
    name : str
        What people call it [-].
    composition : Mapping or tuple of pairs
        Mole fraction [1] of each component, by formula; 0 to 1 each, together 1. Isomers are
        counted together (``C4H10`` is both butanes). Kept as a tuple of pairs, so that a fuel
        cannot change.

    Raises
    ------
    OutOfRange
        If a component is not known, a fraction is outside 0 to 1, the fractions do not add up to
        1 within a millionth, nothing in it burns, or it holds no carbon (flue-gas readings of CO2
        say nothing about such a gas).

    Notes
    -----
    Ignores water vapour and odorant in the fuel. Air is dry, with 20.9 % oxygen (`AIR_OXYGEN`);
    its own 0.04 % CO2 is left out, which lowers CO2 in the flue by about 0.04 percentage points.

    Examples
    --------
    >>> methane = Fuel("methane", {"CH4": 1.0})
    >>> methane.stoichiometric_oxygen
    2.0
    >>> round(methane.stoichiometric_air, 3)
    9.569
    >>> round(100 * methane.co2_max_dry, 2)
    11.67
    """

    name: str
    composition: Mapping[str, float] | tuple[tuple[str, float], ...]

    def __post_init__(self):
        pairs = tuple(dict(self.composition).items())
        object.__setattr__(self, "composition", pairs)
        for component, share in pairs:
            if component not in ATOMS:
                close = nearest(component, ATOMS)
                raise OutOfRange(
                    f"fuel {self.name!r}: component {component!r} is not known; "
                    + (f"write {close!r}" if close else f"use one of {', '.join(ATOMS)}")
                )
            if not 0 <= share <= 1:  # also refuses NaN
                raise OutOfRange(
                    f"fuel {self.name!r}: mole fraction of {component} must be 0 to 1, "
                    f"got {share!r}; was a percentage passed without dividing by 100?"
                )
        total = math.fsum(share for _, share in pairs)
        if abs(total - 1) > 1e-6:
            raise OutOfRange(
                f"fuel {self.name!r}: mole fractions add up to {total:.6g}, not 1; "
                "divide each by that sum if the analysis was rounded"
            )
        if not self.stoichiometric_oxygen > 0:
            raise OutOfRange(f"fuel {self.name!r} needs no oxygen: nothing in it burns")
        if not self._atoms(0) > 0:
            raise OutOfRange(f"fuel {self.name!r} holds no carbon: its flue gas shows no CO2")

    def _atoms(self, kind: int) -> float:
        return math.fsum(share * ATOMS[component][kind] for component, share in self.composition)

    @property
    def stoichiometric_oxygen(self) -> float:
        """Oxygen for exact combustion, C + H/4 - O/2 [mol per mol of fuel]."""
        return self._atoms(0) + self._atoms(1) / 4 - self._atoms(2) / 2

    @property
    def stoichiometric_air(self) -> float:
        """Dry air for exact combustion [mol per mol of fuel]."""
        return self.stoichiometric_oxygen / AIR_OXYGEN

    @property
    def stoichiometric_dry_flue_gas(self) -> float:
        """CO2 and nitrogen left by exact combustion, water taken out [mol per mol of fuel]."""
        nitrogen = self.stoichiometric_air * (1 - AIR_OXYGEN) + self._atoms(3) / 2
        return self._atoms(0) + nitrogen

    @property
    def co2_max_dry(self) -> float:
        """CO2 in the dry flue gas of exact combustion, the most this fuel can show [1]."""
        return self._atoms(0) / self.stoichiometric_dry_flue_gas

    @property
    def water_per_mole(self) -> float:
        """Water formed by combustion [mol per mol of fuel]."""
        return self._atoms(1) / 2


# Typical analysis of a pipeline supply in Ontario, "hexanes plus" taken as hexane. Union Gas,
# "Chemical Composition of Natural Gas", uniongas.com, table "Typical Analysis (mole %)". Its range
# for methane is 87 to 97 %; other supplies give CO2max from 11.7 to 12.2 %.
NATURAL_GAS = Fuel(
    "natural_gas",
    {
        "CH4": 0.939,
        "C2H6": 0.042,
        "C3H8": 0.003,
        "C4H10": 0.0006,
        "C5H12": 0.0002,
        "C6H14": 0.0001,
        "N2": 0.01,
        "CO2": 0.005,
        "O2": 0.0001,
    },
)

# The limits of grade HD-5 as an engine manual prints them: propane at least 90.0 %, propylene up
# to 5 %, butane 2.0 %, isobutane 1.5 %, methane 1.5 %, total 100 %. Liquid volume there, taken as
# mole fraction here; CO2max moves by less than 0.01 percentage points.
PROPANE = Fuel("propane", {"C3H8": 0.90, "C3H6": 0.05, "C4H10": 0.035, "CH4": 0.015})

PURE_PROPANE = Fuel("pure_propane", {"C3H8": 1.0})

FUELS = {fuel.name: fuel for fuel in (NATURAL_GAS, PROPANE, PURE_PROPANE)}


def fuel_named(fuel) -> Fuel:
    """The fuel of that name; a `Fuel` is returned as it is.

    Parameters
    ----------
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` (as sold), ``"pure_propane"``, or a `Fuel` [-].

    Raises
    ------
    OutOfRange
        If no fuel has that name.

    Examples
    --------
    >>> fuel_named("propane") is PROPANE
    True
    """
    if isinstance(fuel, Fuel):
        return fuel
    if isinstance(fuel, str) and fuel in FUELS:
        return FUELS[fuel]
    close = nearest(fuel, FUELS) if isinstance(fuel, str) else None
    raise OutOfRange(
        f"fuel {fuel!r} is not known; write "
        + (repr(close) if close else " or ".join(map(repr, FUELS)))
    )

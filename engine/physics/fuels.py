"""What a fuel gas needs to burn, and what it leaves behind, from its composition.

Everything is per mole of fuel gas, which for gases at one temperature and pressure is the same as
per volume.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engine.errors import OutOfRange, nearest
from engine.physics.components import COMPONENTS, WATER_VAPORISATION
from engine.physics.limits import Range

# Oxygen share of dry air as flue-gas analysers take it when they zero in fresh air, and as the
# air-free formula of the trade takes it. Real dry air has 20.946 % [US Standard Atmosphere 1976];
# 0.9 % argon and 0.04 % CO2 are counted as nitrogen here.
AIR_OXYGEN = 0.209

HYDROGEN_SHARE = Range(
    "share of hydrogen", 0.0, 1.0, "1", "was a percentage passed without dividing by 100?"
)


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
    called : str
        What screens call it [-]; the name where none is given.

    Raises
    ------
    OutOfRange
        If a component is not known, a fraction is outside 0 to 1, the fractions do not add up to
        1 within a millionth, nothing in it burns, or it holds no carbon (flue-gas readings of CO2
        say nothing about such a gas).

    Notes
    -----
    Ignores water vapour and odorant in the fuel, and what isomers differ by in heat
    (`engine.physics.components`). Air is dry, with 20.9 % oxygen (`AIR_OXYGEN`); its own 0.04 % CO2
    is left out, which lowers CO2 in the flue by about 0.04 percentage points.

    Examples
    --------
    >>> methane = Fuel("methane", {"CH4": 1.0})
    >>> methane.stoichiometric_oxygen
    2.0
    >>> round(methane.stoichiometric_air, 3)
    9.569
    >>> round(100 * methane.co2_max_dry, 2)
    11.67
    >>> round(methane.gross_heat), round(methane.net_heat)
    (890580, 802554)
    """

    name: str
    composition: Mapping[str, float] | tuple[tuple[str, float], ...]
    called: str = ""

    def __post_init__(self):
        pairs = tuple(dict(self.composition).items())
        object.__setattr__(self, "composition", pairs)
        object.__setattr__(self, "called", self.called or self.name)
        for component, share in pairs:
            if component not in COMPONENTS:
                close = nearest(component, COMPONENTS)
                raise OutOfRange(
                    f"fuel {self.name!r}: component {component!r} is not known; "
                    + (f"write {close!r}" if close else f"use one of {', '.join(COMPONENTS)}")
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
            raise OutOfRange(
                f"fuel {self.name!r} needs no oxygen from the air: nothing in it burns, "
                "or it brings its own oxygen"
            )
        if not self._atoms(0) > 0:
            raise OutOfRange(f"fuel {self.name!r} holds no carbon: its flue gas shows no CO2")

    def _atoms(self, kind: int) -> float:
        return math.fsum(x * COMPONENTS[each].atoms[kind] for each, x in self.composition)

    def average(self, field: str):
        """A figure of `engine.physics.components.Component`, each weighted by its mole fraction."""
        return sum(x * np.asarray(getattr(COMPONENTS[each], field)) for each, x in self.composition)

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

    @property
    def molar_mass(self) -> float:
        """Mass of one mole [kg/mol]."""
        return float(self.average("molar_mass"))

    @property
    def gross_heat(self) -> float:
        """Heat of combustion at 25 °C, the water formed condensed [J/mol]."""
        return float(self.average("gross_heat")[-1])

    @property
    def net_heat(self) -> float:
        """Heat of combustion at 25 °C, the water formed left as vapour [J/mol]."""
        return self.gross_heat - self.water_per_mole * WATER_VAPORISATION[-1]


METHANE = Fuel("methane", {"CH4": 1.0}, "Methane, pure")

# Typical analysis of a pipeline supply in Ontario, "hexanes plus" taken as hexane. Union Gas,
# "Chemical Composition of Natural Gas", uniongas.com, table "Typical Analysis (mole %)". The table
# prints 38.7 MJ/m³ gross, Wobbe 50.4 MJ/m³ and specific gravity 0.59 for it. Its range for methane
# is 87 to 97 %; other supplies give CO2max from 11.7 to 12.2 %.
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
    "Natural gas, typical pipeline",
)

# The two ends of the same company's supply. The compositions are ours, put together inside the
# ranges of that table for each component, so that they come near its ends for the whole gas: gross
# heat 36.0 to 40.2 MJ/m³, Wobbe index 47.5 to 51.5 MJ/m³, specific gravity 0.57 to 0.62.
LEAN_NATURAL_GAS = Fuel(
    "lean_natural_gas",
    {"CH4": 0.934, "C2H6": 0.018, "C3H8": 0.001, "C4H10": 0.0002, "N2": 0.04, "CO2": 0.0068},
    "Natural gas, lean: much nitrogen",
)
RICH_NATURAL_GAS = Fuel(
    "rich_natural_gas",
    {
        "CH4": 0.9,
        "C2H6": 0.074,
        "C3H8": 0.01,
        "C4H10": 0.002,
        "C5H12": 0.0004,
        "C6H14": 0.0001,
        "N2": 0.009,
        "CO2": 0.0045,
    },
    "Natural gas, rich: much ethane",
)

# The limits of grade HD-5 as an engine manual prints them: propane at least 90.0 %, propylene up
# to 5 %, butane 2.0 %, isobutane 1.5 %, methane 1.5 %, total 100 %. Liquid volume there, taken as
# mole fraction here; CO2max moves by less than 0.01 percentage points.
PROPANE = Fuel(
    "propane", {"C3H8": 0.90, "C3H6": 0.05, "C4H10": 0.035, "CH4": 0.015}, "Propane, as sold"
)

PURE_PROPANE = Fuel("pure_propane", {"C3H8": 1.0}, "Propane, pure")


def fuel_named(fuel) -> Fuel:
    """The fuel of that name; a `Fuel` is returned as it is.

    Parameters
    ----------
    fuel : str or Fuel
        A name in `FUELS`, such as ``"natural_gas"`` or ``"propane"`` (as sold), or a `Fuel` [-].

    Returns
    -------
    Fuel
        The fuel.

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


def with_hydrogen(fuel, share):
    r"""The fuel with hydrogen blended in.

    Parameters
    ----------
    fuel : str or Fuel
        A name in `FUELS` or a `Fuel` [-].
    share : float
        Hydrogen added, mole fraction of the blend [1]. 0 to 1, but not 1 itself. One number.

    Returns
    -------
    Fuel
        The blend, named ``<fuel>_<per cent>_hydrogen``.

    Raises
    ------
    OutOfRange
        If `share` is outside 0 to 1 or is not one number, if the fuel is not known, or if no
        carbon is left.

    Notes
    -----
    Hydrogen already in the fuel stays and counts as fuel, so that the blend may hold more than
    `share`. Pure hydrogen is refused: its flue gas shows no CO2, and every reading of CO2 would
    mislead.

    Examples
    --------
    >>> blend = with_hydrogen("methane", 0.2)
    >>> blend.name, round(100 * blend.co2_max_dry, 2)
    ('methane_20_hydrogen', 11.06)
    """
    if np.ndim(share):
        raise OutOfRange("share of hydrogen must be one number: a fuel has one composition")
    base, added = fuel_named(fuel), float(HYDROGEN_SHARE.check(share))
    mixture = {each: x * (1 - added) for each, x in base.composition}
    mixture["H2"] = mixture.get("H2", 0.0) + added
    percent = f"{100 * added:.4g}"
    return Fuel(
        f"{base.name}_{percent}_hydrogen", mixture, f"{base.called}, with {percent} % hydrogen"
    )


NATURAL_GAS_20_HYDROGEN = with_hydrogen(NATURAL_GAS, 0.20)

FUELS = {
    fuel.name: fuel
    for fuel in (
        NATURAL_GAS,
        LEAN_NATURAL_GAS,
        RICH_NATURAL_GAS,
        NATURAL_GAS_20_HYDROGEN,
        METHANE,
        PROPANE,
        PURE_PROPANE,
    )
}

"""What the water is: density and heat capacity of water, or of water with glycol, and its freezing.

Mixtures are given as they are made: by *volume* of *concentrate as sold*. The formulas behind them
count the mass of pure glycol; `CONCENTRATE` and the densities lead from one to the other.
"""

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from engine.errors import OutOfRange, nearest
from engine.physics.limits import Range, plain

ZERO = 273.15  # K, 0 °C
WATER_AT_20 = 998.2  # kg/m³, IAPWS-95
# Glycol in a concentrate by volume, the rest inhibitors and water, counted as water. 0.92 to 0.96
# is common (common practice, no source). With it the ethylene mixture freezes as ASHRAE's table of
# inhibited glycols says, or up to 1 K higher, which is the safe side.
CONCENTRATE = 0.95

WATER_TEMPERATURE = Range(
    "water temperature", 223.15, 383.15, "K", "was a reading in °C or °F passed unconverted?"
)
GLYCOL_SHARE = Range(
    "glycol share by volume", 0.0, 0.55, "1", "was a percentage passed without dividing by 100?"
)
MIXTURE_LIMIT = 373.15  # K, as far as the formulas for mixtures were fitted

# IAPWS SR6-08(2011), properties of liquid water at 0.1 MPa, equations for specific volume and heat
# capacity; coefficients as in the text of a public library that implements the release.
_GAS = 461.518_05  # J/(kg K)
_VOLUME_CONSTANT = 1.93763157e-2
# factor and power of 10/(593 - T), then of 10/(T - 232)
_VOLUME_HOT = (
    (6.74458446e3, 4),
    (-2.22521604e5, 5),
    (1.00231247e8, 7),
    (-1.63552118e9, 8),
    (8.32299658e9, 9),
)
_VOLUME_COLD = (
    (5.78545292e-3, 1),
    (-1.53195665e-2, 2),
    (3.11337859e-2, 3),
    (-4.23546241e-2, 4),
    (3.38713507e-2, 5),
    (-1.19946761e-2, 6),
)
_HEAT_CONSTANT = -8.983025854
_HEAT_HOT = ((-1.661470539e5, 4), (2.708781640e6, 5), (-1.557191544e8, 7))
_HEAT_COLD = (
    (-8.237426256e-1, 2),
    (1.908956353, 3),
    (-2.017597384, 4),
    (8.546361348e-1, 5),
)


@dataclass(frozen=True)
class Glycol:
    """A glycol and what it does to water, as polynomials after Melinder.

    Parameters
    ----------
    name : str
        What people call it [-].
    density_at_20 : float
        Density of the pure glycol at 20 °C [kg/m³].
    centre : tuple of float
        Mass share in per cent and temperature in °C that the polynomials count from [%, °C].
    density, heat_capacity : tuple of rows
        Coefficients [kg/m³, J/(kg K)]; rows by powers of the mass share, columns by powers of the
        temperature.
    freezing : tuple of float
        Coefficients of the freezing temperature by powers of the mass share [°C].
    """

    name: str
    density_at_20: float
    centre: tuple[float, float]
    density: tuple[tuple[float, ...], ...]
    heat_capacity: tuple[tuple[float, ...], ...]
    freezing: tuple[float, ...]


# Coefficients: A. Melinder, "Properties of secondary working fluids for indirect systems", IIR
# 2010, as in the text of a public library. Densities of the pure glycols at 20 °C: ethylene as a
# public page prints it, propylene from memory.
GLYCOLS = MappingProxyType(
    {
        glycol.name: glycol
        for glycol in (
            Glycol(
                "propylene_glycol",
                1036.0,
                (30.7031, 32.7083),
                (
                    (1.0180e3, -5.4060e-1, -2.6660e-3, 1.3470e-5),
                    (7.6040e-1, -9.4500e-3, 5.5410e-5, -1.3430e-7),
                    (-2.4980e-3, 2.7000e-5, -4.0180e-7, 3.3760e-9),
                    (-1.5500e-4, 2.8290e-6, -7.1750e-9),
                    (-1.1310e-6, -2.2210e-8),
                    (2.3420e-8,),
                ),
                (
                    (3.8820e3, 2.6990, -1.6590e-3, -1.0320e-5),
                    (-1.3040e1, 5.0700e-2, -4.7520e-5, 1.5220e-6),
                    (-1.5980e-1, 9.5340e-5, 1.1670e-5, -4.8700e-8),
                    (3.5390e-4, 3.1020e-5, -2.9500e-7),
                    (5.0000e-5, -7.1350e-7),
                    (-4.9590e-7,),
                ),
                (-1.3250e1, -6.6310e-1, -1.0940e-2, -2.2830e-4, -3.4090e-6, 1.4650e-8),
            ),
            Glycol(
                "ethylene_glycol",
                1113.0,
                (30.8462, 31.728),
                (
                    (1.0340e3, -4.7810e-1, -2.6920e-3, 4.7250e-6),
                    (1.3110, -6.8760e-3, 4.8050e-5, 1.6900e-8),
                    (7.4900e-5, 7.8550e-5, -3.9950e-7, 4.9820e-9),
                    (-1.0620e-4, 1.2290e-6, -1.1530e-8),
                    (-9.6230e-7, -7.2110e-8),
                    (4.8910e-8,),
                ),
                (
                    (3.7370e3, 2.9300, -4.6750e-3, -1.3890e-5),
                    (-1.7990e1, 1.0460e-1, -4.1470e-4, 1.8470e-7),
                    (-9.9330e-2, 3.5160e-4, 5.1090e-6, -7.1380e-8),
                    (2.6100e-3, -1.1890e-6, -1.6430e-7),
                    (1.5370e-5, -4.2720e-7),
                    (-1.6180e-6,),
                ),
                (-1.5250e1, -8.0800e-1, -1.3340e-2, -7.2930e-5, 1.0060e-6, 1.1400e-9),
            ),
        )
    }
)


def glycol_named(glycol) -> Glycol:
    """The glycol of that name; a `Glycol` is returned as it is.

    Parameters
    ----------
    glycol : str or Glycol
        ``"propylene_glycol"``, ``"ethylene_glycol"`` or a `Glycol` [-].

    Returns
    -------
    Glycol

    Raises
    ------
    OutOfRange
        If no glycol has that name.

    Examples
    --------
    >>> glycol_named("ethylene_glycol").density_at_20
    1113.0
    """
    if isinstance(glycol, Glycol):
        return glycol
    if isinstance(glycol, str) and glycol in GLYCOLS:
        return GLYCOLS[glycol]
    close = nearest(glycol, GLYCOLS) if isinstance(glycol, str) else None
    raise OutOfRange(
        f"glycol {glycol!r} is not known; write "
        + (repr(close) if close else " or ".join(map(repr, GLYCOLS)))
    )


def freezing_point(glycol_share, glycol="propylene_glycol"):
    r"""Temperature at which the first ice forms in water with glycol.

    Parameters
    ----------
    glycol_share : float or ndarray
        Volume of glycol concentrate over volume of the whole filling [1]. 0 to 0.55.
    glycol : str or Glycol
        ``"propylene_glycol"``, ``"ethylene_glycol"`` or a `Glycol` [-].

    Returns
    -------
    float or ndarray
        Temperature [K]; 273.15 without glycol.

    Raises
    ------
    OutOfRange
        If the share is outside 0 to 0.55, or the glycol is not known.

    Notes
    -----
    A concentrate is taken to hold 95 % glycol. Printed tables of propylene glycol lie from 1 K
    higher (15 %) to 3.5 K lower (50 %), of ethylene glycol up to 1 K lower. The supplier's table
    and a refractometer made for this glycol rule.

    Examples
    --------
    >>> round(freezing_point(0.30) - 273.15, 1)
    -12.3

    References
    ----------
    [1] A. Melinder, Properties of Secondary Working Fluids for Indirect Systems, IIR 2010.
    """
    share, kind = GLYCOL_SHARE.check(glycol_share), glycol_named(glycol)
    celsius = _polynomial(_mass_share(share, kind) - kind.centre[0], kind.freezing)
    return plain(ZERO + np.where(share > 0, celsius, 0.0))


def freeze_margin(coldest_temperature, glycol_share, glycol="propylene_glycol"):
    r"""How far the coldest water stays above freezing; below 0 the mixture does not protect.

    Parameters
    ----------
    coldest_temperature : float or ndarray
        Coldest that any pipe of the circuit may get [K]. 223.15 to 383.15.
    glycol_share : float or ndarray
        Volume of glycol concentrate over volume of the whole filling [1]. 0 to 0.55.
    glycol : str or Glycol
        ``"propylene_glycol"``, ``"ethylene_glycol"`` or a `Glycol` [-].

    Returns
    -------
    float or ndarray
        Margin [K].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the glycol is not known.

    Notes
    -----
    See `freezing_point`. A margin under 3 K is none: mixing, inhibitors and the thermometer.

    Examples
    --------
    >>> round(freeze_margin(273.15 - 10, 0.30), 1)
    2.3
    """
    coldest = WATER_TEMPERATURE.check(coldest_temperature)
    return plain(coldest - freezing_point(glycol_share, glycol))


def water_density(temperature, glycol_share=0.0, glycol="propylene_glycol"):
    r"""Density of water, or of water with glycol.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature [K]. From the freezing point to 383.15 for water, to 373.15 with glycol.
    glycol_share : float or ndarray
        Volume of glycol concentrate over volume of the whole filling [1]. 0 to 0.55.
    glycol : str or Glycol
        ``"propylene_glycol"``, ``"ethylene_glycol"`` or a `Glycol` [-].

    Returns
    -------
    float or ndarray
        Density [kg/m³].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the mixture is frozen, or the glycol is not known.

    Notes
    -----
    At atmospheric pressure; 3 bar more adds 0.014 %. Inhibitors are counted as water: mixtures are
    up to 1.2 % denser than this.

    Examples
    --------
    >>> round(water_density(333.15), 1), round(water_density(333.15, 0.30), 1)
    (983.2, 1000.8)

    References
    ----------
    [1] IAPWS SR6-08(2011), liquid water at 0.1 MPa, from 253 to 383 K.
    [2] A. Melinder, Properties of Secondary Working Fluids for Indirect Systems, IIR 2010.
    """
    kelvin, share, kind = _liquid(temperature, glycol_share, glycol)
    return plain(_density(kelvin, share, kind))


def water_heat_capacity(temperature, glycol_share=0.0, glycol="propylene_glycol"):
    r"""Heat capacity of water, or of water with glycol, per mass.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature [K]. From the freezing point to 383.15 for water, to 373.15 with glycol.
    glycol_share : float or ndarray
        Volume of glycol concentrate over volume of the whole filling [1]. 0 to 0.55.
    glycol : str or Glycol
        ``"propylene_glycol"``, ``"ethylene_glycol"`` or a `Glycol` [-].

    Returns
    -------
    float or ndarray
        Heat capacity [J/(kg K)].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the mixture is frozen, or the glycol is not known.

    Notes
    -----
    Inhibitors are counted as water: mixtures hold up to 2.1 % less. Density times heat capacity is
    within 0.6 % for propylene glycol, within 1.6 % for ethylene glycol.

    Examples
    --------
    >>> round(water_heat_capacity(333.15)), round(water_heat_capacity(333.15, 0.30))
    (4185, 3971)

    References
    ----------
    [1] IAPWS SR6-08(2011), liquid water at 0.1 MPa, from 253 to 383 K.
    [2] A. Melinder, Properties of Secondary Working Fluids for Indirect Systems, IIR 2010.
    """
    kelvin, share, kind = _liquid(temperature, glycol_share, glycol)
    return plain(_heat_capacity(kelvin, share, kind))


def _liquid(temperature, glycol_share, glycol):
    """Temperature, share and glycol, if that is a liquid the formulas know."""
    kelvin, kind = WATER_TEMPERATURE.check(temperature), glycol_named(glycol)
    share = GLYCOL_SHARE.check(glycol_share)
    frozen = kelvin < freezing_point(share, kind) - 1e-3
    if np.any(frozen):
        coldest = np.broadcast_to(kelvin, frozen.shape)[frozen].flat[0]
        raise OutOfRange(
            f"at {coldest - ZERO:.1f} °C this is ice; is the glycol share right, or was a reading "
            "in °C passed unconverted?"
        )
    if np.any((share > 0) & (kelvin > MIXTURE_LIMIT + 1e-3)):
        raise OutOfRange(
            f"with glycol the temperature must be at most {MIXTURE_LIMIT:.6g} K (100 °C), got "
            f"{kelvin.max():.6g} K; was a reading in °F passed unconverted?"
        )
    return kelvin, share, kind


def _density(kelvin, share, kind):
    volume = _VOLUME_CONSTANT + _terms(10 / (593 - kelvin), _VOLUME_HOT)
    volume = volume + _terms(10 / (kelvin - 232), _VOLUME_COLD)
    return np.where(share > 0, _melinder(kelvin, share, kind, kind.density), 1e4 / (_GAS * volume))


def _heat_capacity(kelvin, share, kind):
    hot = [(power * (power + 1) * factor, power + 2) for factor, power in _HEAT_HOT]
    cold = [(power * (power + 1) * factor, power + 2) for factor, power in _HEAT_COLD]
    curvature = _terms(10 / (593 - kelvin), hot) + _terms(10 / (kelvin - 232), cold)
    water = -_GAS * (_HEAT_CONSTANT + kelvin / 10 * curvature)
    return np.where(share > 0, _melinder(kelvin, share, kind, kind.heat_capacity), water)


def _terms(base, terms):
    return sum(factor * base**power for factor, power in terms)


def _melinder(kelvin, share, kind, rows):
    from_centre = kelvin - ZERO - kind.centre[1]
    columns = [_polynomial(from_centre, row) for row in rows]
    return _polynomial(_mass_share(share, kind) - kind.centre[0], columns)


def _polynomial(base, factors):
    return sum(factor * base**power for power, factor in enumerate(factors))


def _mass_share(share, kind):
    """Mass of glycol over mass of both [%]."""
    pure = CONCENTRATE * share
    glycol = pure * kind.density_at_20
    return 100 * glycol / (glycol + (1 - pure) * WATER_AT_20)

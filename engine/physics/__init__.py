"""Pure calculations about gas, air and flue gas. Base SI in, base SI out; nothing is stored.

================  ==============================================================================
fuels             what a fuel gas needs to burn, and what it leaves behind
flue_gas          `co2_from_o2`, `o2_from_co2`, `excess_air_ratio`, `fuel_line_gap`,
                  `co_air_free`, `co_to_co2_ratio`, `temperature_difference`
recirculation     `recirculated_share_from_o2`, `recirculated_share_from_co2`
gas_supply        `pressure_sag`, `clocked_input`, `input_share`, `speed_ratio`
limits            refusal of values outside a calculation's valid range
================  ==============================================================================

Readings of O2, CO2 and CO are mole fractions of *dry* gas: 0.09 is 9 %. Pressures are gauge.
`CALCULATIONS` is the table from which the knowledge may name a calculation.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from engine.physics.flue_gas import (
    co2_from_o2,
    co_air_free,
    co_to_co2_ratio,
    excess_air_ratio,
    fuel_line_gap,
    o2_from_co2,
    temperature_difference,
)
from engine.physics.gas_supply import clocked_input, input_share, pressure_sag, speed_ratio
from engine.physics.recirculation import recirculated_share_from_co2, recirculated_share_from_o2

__all__ = ["CALCULATIONS", "Calculation"]


@dataclass(frozen=True)
class Calculation:
    """A calculation that knowledge files may name.

    `inputs` gives the quantity (a name in `engine.units.QUANTITIES`) of each parameter, or "fuel";
    `quantity` is that of the result.
    """

    name: str
    function: Callable
    inputs: Mapping[str, str]
    quantity: str


def _calculation(function, quantity, **inputs):
    return Calculation(function.__name__, function, MappingProxyType(inputs), quantity)


_GAS = "dry_fraction"
_CLOCKED = {"volume": "volume", "duration": "duration", "heating_value": "volume_heat"}

CALCULATIONS = MappingProxyType(
    {
        calculation.name: calculation
        for calculation in (
            _calculation(co_air_free, _GAS, co=_GAS, o2=_GAS),
            _calculation(co_to_co2_ratio, "ratio", co=_GAS, co2=_GAS),
            _calculation(co2_from_o2, _GAS, o2=_GAS, fuel="fuel"),
            _calculation(o2_from_co2, _GAS, co2=_GAS, fuel="fuel"),
            _calculation(excess_air_ratio, "ratio", o2=_GAS, fuel="fuel"),
            _calculation(fuel_line_gap, _GAS, o2=_GAS, co2=_GAS, fuel="fuel"),
            _calculation(
                recirculated_share_from_o2, "ratio", intake_o2=_GAS, flue_o2=_GAS, fuel="fuel"
            ),
            _calculation(
                recirculated_share_from_co2, "ratio", intake_co2=_GAS, flue_co2=_GAS, fuel="fuel"
            ),
            _calculation(
                pressure_sag, "gauge_pressure", static="gauge_pressure", running="gauge_pressure"
            ),
            _calculation(clocked_input, "power", **_CLOCKED),
            _calculation(input_share, "ratio", **_CLOCKED, rated_input="power"),
            _calculation(
                speed_ratio, "ratio", measured="rotational_speed", asked="rotational_speed"
            ),
            _calculation(
                temperature_difference,
                "temperature_difference",
                hot="temperature",
                cold="temperature",
            ),
        )
    }
)

"""Pure calculations about gas, air and flue gas. Base SI in, base SI out; nothing is stored.

================  ==============================================================================
components        atoms, mass, heat of combustion of each gas, ISO 6976:2016
fuels             what a fuel gas needs to burn, and what it leaves behind; the gases by name
gas_quality       heating value, Wobbe index, density, relative density of a gas
flue_gas          O2, CO2, excess air, volumes of flue gas
carbon_monoxide   CO air-free, CO over CO2
fuel_line         whether O2 and CO2 can belong to a gas, and what is wrong when they cannot
moisture          saturation, humidity of air, dew point of flue gas
heat              enthalpies of what leaves the boiler
losses            sensible and latent loss, efficiency on either basis
siegert           the loss formula of the law, and where it holds
condensate        condensate to be expected, and the share of it that was caught
recirculation     share of flue gas in the intake, and what the flue shows once the vent is mended
intake_air        what a fixed setting shows with colder or warmer air
atmosphere        standard atmosphere by altitude, density of moist air
derating          heat input at altitude, by a named convention or the maker's table
gas_supply        gas pressure lost under load, fan speed against what is asked
gas_meter         heat input by the meter, its corrections and its uncertainty
orifice           flow through a hole, and the hole for a flow
propane_tank      pressure of propane, vapour that a tank can feed
flame_signal      what is left of a flame signal, and what the mixture does to it
ntc               thermistors by equation: beta, Steinhart and Hart, data sheet
platinum          platinum sensors, IEC 60751
sensor_curves     tables of common sensors
sensors           temperature behind a resistance, and the mismatch against a thermometer
water             heat carried by water, flow and rise that belong to it
water_properties  density, heat capacity and freezing of water and glycol
vent              friction, fittings, pressure drop of a run, draught of a warm column
vent_gas          flow, density, viscosity of what vent and intake pipe carry
room_air          room volume and openings for combustion air, by rule
combined          several of these in a row, for the figure of one instrument
limits            refusal of values outside a calculation's valid range
propagation       what the uncertainty of readings leaves of a figure
================  ==============================================================================

Readings of O2, CO2 and CO are mole fractions of *dry* gas: 0.09 is 9 %. Pressures are gauge unless
their name says absolute. `CALCULATIONS` is the table from which the knowledge may name one.
"""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from engine.physics.carbon_monoxide import co_air_free, co_air_free_by_co2, co_to_co2_ratio
from engine.physics.combined import (
    clocked_input_on_site,
    condensate_share,
    condensate_share_of_all,
    input_share_on_site,
)
from engine.physics.flame_signal import signal_loss, signal_reserve
from engine.physics.flue_gas import (
    co2_from_o2,
    excess_air_ratio,
    fuel_line_gap,
    o2_from_co2,
    temperature_difference,
)
from engine.physics.fuel_line import supply_deviation_co2, supply_deviation_o2
from engine.physics.gas_supply import pressure_sag, sag_share, speed_ratio
from engine.physics.losses import efficiency_gross
from engine.physics.moisture import flue_dew_point
from engine.physics.recirculation import (
    recirculated_share_from_co2,
    recirculated_share_from_o2,
    set_co2_once_mended,
    set_o2_once_mended,
)

__all__ = ["CALCULATIONS", "Calculation"]


@dataclass(frozen=True)
class Calculation:
    """A calculation that knowledge files may name.

    `inputs` gives the quantity (a name in `engine.units.QUANTITIES`) of each parameter, or "fuel";
    `quantity` is that of the result. `own_deviation` is one standard deviation that the figure has
    of itself, whatever the instruments: of the gas supplied, of the weather [unit of the result].
    """

    name: str
    function: Callable
    inputs: Mapping[str, str]
    quantity: str
    own_deviation: Callable[[float], float] = lambda value: 0.0

    @property
    def needed(self) -> frozenset[str]:
        """The inputs that have no default."""
        parameters = inspect.signature(self.function).parameters
        return frozenset(n for n in self.inputs if parameters[n].default is inspect.Parameter.empty)


def _calculation(function, quantity, own_deviation=lambda value: 0.0, **inputs):
    return Calculation(
        function.__name__, function, MappingProxyType(inputs), quantity, own_deviation
    )


def _by_weather(value: float) -> float:
    """The barometer moves 3 % to either side of the standard pressure; common practice."""
    return 0.015 * abs(value)


_GAS = "dry_fraction"
_FLUE = {"o2": _GAS, "fuel": "fuel"}
_INTAKE = {"intake_o2": _GAS, "flue_o2": _GAS, "fuel": "fuel"}
_INTAKE_CO2 = {"intake_co2": _GAS, "flue_co2": _GAS, "fuel": "fuel", "room_co2": _GAS}
_PRESSURES = {"static": "gauge_pressure", "running": "gauge_pressure"}
_CLOCKED = {"volume": "volume", "duration": "duration", "heating_value": "volume_heat"}
_ON_SITE = {
    **_CLOCKED,
    "altitude": "length",
    "gas_temperature": "temperature",
    "gauge_pressure": "gauge_pressure",
}
_JUG = {"volume": "volume", "duration": "duration", "gross_heat_input": "power", "fuel": "fuel"}

CALCULATIONS = MappingProxyType(
    {
        calculation.name: calculation
        for calculation in (
            _calculation(co_air_free, _GAS, co=_GAS, o2=_GAS),
            _calculation(co_air_free_by_co2, _GAS, co=_GAS, co2=_GAS, fuel="fuel"),
            _calculation(co_to_co2_ratio, "ratio", co=_GAS, co2=_GAS),
            _calculation(co2_from_o2, _GAS, supply_deviation_co2, **_FLUE),
            _calculation(o2_from_co2, _GAS, supply_deviation_o2, co2=_GAS, fuel="fuel"),
            _calculation(excess_air_ratio, "ratio", **_FLUE),
            _calculation(fuel_line_gap, _GAS, co2=_GAS, **_FLUE),
            _calculation(flue_dew_point, "temperature", **_FLUE),
            _calculation(
                efficiency_gross, "ratio", flue_temperature="temperature",
                air_temperature="temperature", **_FLUE,
            ),
            _calculation(recirculated_share_from_o2, "ratio", **_INTAKE),
            _calculation(recirculated_share_from_co2, "ratio", **_INTAKE_CO2),
            _calculation(set_o2_once_mended, _GAS, set_o2=_GAS, **_INTAKE),
            _calculation(set_co2_once_mended, _GAS, set_co2=_GAS, **_INTAKE_CO2),
            _calculation(pressure_sag, "gauge_pressure", **_PRESSURES),
            _calculation(sag_share, "ratio", **_PRESSURES),
            _calculation(clocked_input_on_site, "power", _by_weather, **_ON_SITE),
            _calculation(
                input_share_on_site, "ratio", _by_weather, **_ON_SITE, rated_input="power"
            ),
            _calculation(
                condensate_share, "ratio", **_JUG, flue_temperature="temperature", o2=_GAS,
                altitude="length",
            ),
            _calculation(condensate_share_of_all, "ratio", **_JUG),
            _calculation(signal_loss, "ratio", signal_now="current", signal_then="current"),
            _calculation(signal_reserve, "ratio", signal="current", least_signal="current"),
            _calculation(
                speed_ratio, "ratio", measured="rotational_speed", asked="rotational_speed"
            ),
            _calculation(
                temperature_difference, "temperature_difference", hot="temperature",
                cold="temperature",
            ),
        )
    }
)  # fmt: skip

"""Laws of heat per volume and density: how they move with the reference, and what is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.components import COMBUSTION_TEMPERATURES, COMPONENTS, METERING_TEMPERATURES
from engine.physics.fuels import FUELS, Fuel, fuel_named, with_hydrogen
from engine.physics.gas_quality import (
    compression_factor,
    gas_density,
    heating_value,
    relative_density,
    wobbe_index,
)

FUEL_NAMES = st.sampled_from(sorted(FUELS))
TEMPERATURES = st.floats(253.15, 323.15)
PRESSURES = st.floats(50e3, 150e3)
METERING = st.sampled_from(METERING_TEMPERATURES)
COMBUSTION = st.sampled_from(COMBUSTION_TEMPERATURES)
BASIS = st.sampled_from(["gross", "net"])

# Exact by definition: ideal gas at 0 °C and 101.325 kPa, from memory (CODATA 22.413 970 dm³/mol).
IDEAL_VOLUME = 22.413970e-3


@given(fuel=FUEL_NAMES, temperature=TEMPERATURES, pressure=PRESSURES)
def test_density_follows_the_gas_law(fuel, temperature, pressure):
    """p·M/(Z·R·T), with the ideal volume at 0 °C instead of the gas constant."""
    factor = compression_factor(fuel, temperature, pressure)
    volume = IDEAL_VOLUME * factor * temperature / 273.15 * 101325.0 / pressure

    assert gas_density(fuel, temperature, pressure) == pytest.approx(
        fuel_named(fuel).molar_mass / volume,
        rel=2e-7,  # the standard's gas constant is 6e-8 short of today's
    )


@given(fuel=FUEL_NAMES, temperature=TEMPERATURES)
def test_gas_without_pressure_is_ideal(fuel, temperature):
    """The departure from 1 is proportional to pressure, so that it ends at 1."""
    low, high = (1 - compression_factor(fuel, temperature, p) for p in (50e3, 150e3))

    assert high == pytest.approx(3 * low, rel=1e-9)


@given(fuel=FUEL_NAMES, pressure=PRESSURES, cold=TEMPERATURES, step=st.floats(1.0, 20.0))
def test_warm_gas_is_nearer_to_ideal_and_thinner(fuel, pressure, cold, step):
    warm = min(cold + step, 323.15)

    assert compression_factor(fuel, warm, pressure) >= compression_factor(fuel, cold, pressure)
    assert gas_density(fuel, warm, pressure) <= gas_density(fuel, cold, pressure)


@pytest.mark.parametrize("place", range(4))
def test_compression_at_the_reference_temperatures_is_the_standard_s_own(place):
    """Of one component alone: one minus its summation factor squared."""
    for formula in ("CH4", "C3H8", "C4H10"):
        factor = COMPONENTS[formula].summation_factor[place]
        gas = Fuel("one", {formula: 1.0})
        assert compression_factor(gas, METERING_TEMPERATURES[place]) == 1 - factor**2


@given(fuel=FUEL_NAMES, basis=BASIS, combustion=COMBUSTION, metering=METERING, pressure=PRESSURES)
def test_heat_per_volume_is_heat_per_mole_over_volume_per_mole(
    fuel, basis, combustion, metering, pressure
):
    gas = fuel_named(fuel)
    moles = gas_density(fuel, metering, pressure) / gas.molar_mass
    here = heating_value(fuel, basis, combustion, metering, pressure)
    at_25 = gas.gross_heat if basis == "gross" else gas.net_heat

    # 0.3 %: what the heat of combustion itself moves between 0 and 25 °C.
    assert here == pytest.approx(at_25 * moles, rel=3e-3)
    if combustion == 298.15:
        assert here == pytest.approx(at_25 * moles, rel=1e-12)


@given(fuel=FUEL_NAMES, combustion=COMBUSTION, metering=METERING, pressure=PRESSURES)
def test_gross_exceeds_net_by_a_share_of_the_water(fuel, combustion, metering, pressure):
    gross, net = (
        heating_value(fuel, basis, combustion, metering, pressure) for basis in ("gross", "net")
    )

    # 7 to 13 %: 44 kJ/mol of water against 890 (methane, 2 water) or 2219 (propane, 4 water).
    assert 1.07 < gross / net < 1.13


@given(fuel=FUEL_NAMES, basis=BASIS, metering=METERING, pressure=PRESSURES)
def test_wobbe_index_squared_times_density_is_heat_squared(fuel, basis, metering, pressure):
    given_ = {"metering_temperature": metering, "metering_pressure": pressure}
    heat = heating_value(fuel, basis, **given_)
    density = relative_density(fuel, metering, pressure)

    assert wobbe_index(fuel, basis, **given_) ** 2 * density == pytest.approx(heat**2, rel=1e-12)


@given(share=st.floats(0.0, 0.4))
def test_hydrogen_lowers_heat_per_volume_more_than_the_wobbe_index(share):
    """Hydrogen is light: what the gas loses in heat it partly regains in speed."""
    blend = with_hydrogen("natural_gas", share)
    heat = heating_value(blend, "gross") / heating_value("natural_gas", "gross")
    wobbe = wobbe_index(blend, "gross") / wobbe_index("natural_gas", "gross")

    assert heat <= wobbe <= 1 + 1e-12


def test_sixty_fahrenheit_is_taken_in_either_spelling():
    """288.70 is the standard's 15.55 °C, 288.7056 is 60 °F exactly: 2e-5 apart in volume."""
    standard = heating_value("natural_gas", "gross", 288.70, 288.70)

    exact = heating_value("natural_gas", "gross", 288.7056, 288.7056)
    assert exact == pytest.approx(standard, rel=3e-5)


def test_references_may_come_as_arrays():
    several = heating_value(
        "propane",
        "net",
        np.array([273.15, 298.15]),
        np.array([[273.15], [288.15], [293.15]]),
        101325.0,
    )

    assert several.shape == (3, 2)
    assert several[2, 1] == heating_value("propane", "net", 298.15, 293.15)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: heating_value("propane", "HHV"), 'basis must be "gross" or "net", got \'HHV\''),
        (lambda: heating_value("propane", None), 'basis must be "gross" or "net"'),
        (lambda: wobbe_index("propane", "gross", 15.0), "is it in kelvin"),
        (lambda: heating_value("propane", "gross", 280.0), "temperature of the gas itself passed"),
        (
            lambda: heating_value("propane", "gross", np.array([288.15, 281.0])),
            "no figures between them\\), got 281;",
        ),
        (lambda: heating_value("propane", "gross", 298.15, 298.15), "metering reference"),
        (lambda: relative_density("propane", 298.15), "metering reference temperature must be"),
        (lambda: relative_density("propane", 288.15, 2000.0), "with the 101 kPa of the air added"),
        (lambda: gas_density("propane", 15.0, 101325.0), "is it in kelvin"),
        (lambda: gas_density("propane", 288.15, 14.7), "and in pascals"),
        (lambda: compression_factor("propan", 288.15), "write 'propane'"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()

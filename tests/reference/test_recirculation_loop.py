"""A boiler with a pneumatic ratio valve, run in Cantera: recirculating, leaned, mended.

Nothing of `engine.physics` enters but the compositions of the fuels. The valve is made of two
openings under one pressure difference, each passing mass as k·sqrt(density); the air side passes
whatever the intake draws. Flue gas goes back into the intake at its own temperature and mixes there
adiabatically; the mixture burns to equilibrium at 700 K, where nothing dissociates; round and round
until nothing changes. Air is that of the analyser's convention, as our calculations take it.
"""

from dataclasses import dataclass, replace

import cantera
import numpy as np
import psychrolib
import pytest

from engine.physics.fuels import FUELS
from engine.physics.intake_air import shifted_co2, shifted_excess_air_ratio, shifted_o2
from engine.physics.recirculation import (
    co2_once_mended,
    excess_air_ratio_once_mended,
    o2_once_mended,
    recirculated_share_from_co2,
    recirculated_share_from_o2,
    set_co2_once_mended,
    set_o2_once_mended,
)

# Hexane and isomers are not in Cantera's table; 1-hexene and hydrogen hold the same atoms.
SPECIES = {
    "C3H6": {"C3H6,propylene": 1},
    "C4H10": {"C4H10,n-butane": 1},
    "C5H12": {"C5H12,n-pentane": 1},
    "C6H14": {"C6H12,1-hexene": 1, "H2": 1},
}
PLAIN = {"CH4", "C2H6", "C3H8", "H2", "N2", "CO2", "O2", "H2O", "CO"}
AIR = {"O2": 0.209, "N2": 0.791}
GAS_SUPPLY = 283.15  # K
ATMOSPHERE = 101_325.0  # Pa
SHARES = [0.0, 0.02, 0.05, 0.10]
TESTED_FUELS = ["natural_gas", "propane", "natural_gas_20_hydrogen"]


@pytest.fixture(scope="module")
def gas():
    wanted = PLAIN.union(*SPECIES.values())
    table = cantera.Species.list_from_file("nasa_gas.yaml")
    return cantera.Solution(
        thermo="ideal-gas", species=[each for each in table if each.name in wanted]
    )


def moles_of(gas, composition):
    moles = np.zeros(gas.n_species)
    for component, share in composition:
        for name, count in SPECIES.get(component, {component: 1}).items():
            moles[gas.species_index(name)] += share * count
    return moles


def at(gas, moles, kelvin, pressure=ATMOSPHERE):
    gas.TPX = kelvin, pressure, moles
    return gas


def air_needed(gas, fuel):
    atoms = [np.array([gas.n_atoms(name, e) for name in gas.species_names]) for e in "CHO"]
    carbon, hydrogen, oxygen = (fuel @ each for each in atoms)
    return (carbon + hydrogen / 4 - oxygen / 2) / AIR["O2"]


def burnt(gas, moles):
    """Mole fractions after complete combustion."""
    at(gas, moles, 700.0).equilibrate("TP")
    return gas.X.copy()


def dry(gas, shares, name):
    return shares[gas.species_index(name)] / (1 - shares[gas.species_index("H2O")])


@dataclass(frozen=True)
class Boiler:
    """`setting` is the size of the air's opening over the gas's; the temperatures are in K."""

    fuel: str
    setting: float
    outdoors: float = 273.15
    flue: float = 338.15  # above the dew point: what comes back is still wet
    pressure: float = ATMOSPHERE
    weighs: bool = True  # False: the molar mass of the mixture is left out, as in our calculation


@dataclass(frozen=True)
class Reading:
    intake_o2: float
    intake_co2: float
    flue_o2: float
    flue_co2: float
    intake_temperature: float
    molar_mass: float
    fresh_air_ratio: float


def run(gas, boiler, share):
    """Readings of the steady loop with a share of wet flue gas, by volume, in the intake."""
    fuel = moles_of(gas, FUELS[boiler.fuel].composition)
    fuel /= fuel.sum()
    fresh = moles_of(gas, AIR.items())
    supply = at(gas, fuel, GAS_SUPPLY, boiler.pressure)
    gas_flow = np.sqrt(supply.density) / supply.mean_molecular_weight  # kmol/s for k = 1
    fresh_mass = at(gas, fresh, boiler.outdoors, boiler.pressure).mean_molecular_weight

    flue = fresh
    for _ in range(200):
        before = flue
        intake = (1 - share) * fresh + share * flue
        enthalpy = (1 - share) * at(gas, fresh, boiler.outdoors).enthalpy_mole
        enthalpy += share * at(gas, flue, boiler.flue).enthalpy_mole
        mixture = at(gas, intake, boiler.outdoors, boiler.pressure)
        mixture.HP = enthalpy / mixture.mean_molecular_weight, boiler.pressure
        kelvin, mass, density = mixture.T, mixture.mean_molecular_weight, mixture.density
        if not boiler.weighs:
            density, mass = density * fresh_mass / mass, fresh_mass
        drawn = boiler.setting * np.sqrt(density) / mass / gas_flow  # mol per mol of fuel
        flue = burnt(gas, fuel + drawn * intake)
        if np.abs(flue - before).max() < 1e-12:
            return Reading(
                dry(gas, intake, "O2"),
                dry(gas, intake, "CO2"),
                dry(gas, flue, "O2"),
                dry(gas, flue, "CO2"),
                kelvin,
                intake @ gas.molecular_weights,
                (1 - share) * drawn / air_needed(gas, fuel),
            )
    raise AssertionError("the loop did not settle")


def set_to(gas, boiler, share, flue_o2):
    """The boiler with its valve turned until the flue reads an O2, found by halving."""
    low, high = 0.5 * boiler.setting, 2 * boiler.setting
    for _ in range(50):
        middle = (low + high) / 2
        reading = run(gas, replace(boiler, setting=middle), share)
        low, high = (low, middle) if reading.flue_o2 > flue_o2 else (middle, high)
    return replace(boiler, setting=middle)


def set_clean(gas, fuel, air_ratio, **more):
    """A boiler set to an air ratio while nothing comes back: the ratio goes with the opening."""
    boiler = Boiler(fuel, 10.0, **more)
    return replace(boiler, setting=10.0 * air_ratio / run(gas, boiler, 0.0).fresh_air_ratio)


# --- what comes back, there and back, and after mending


@pytest.mark.parametrize("fuel", TESTED_FUELS)
@pytest.mark.parametrize("air_ratio", [1.25, 1.4])
@pytest.mark.parametrize("share", SHARES)
def test_the_setting_behind_the_readings_is_that_of_the_loop(gas, fuel, air_ratio, share):
    boiler = set_clean(gas, fuel, air_ratio, weighs=False)
    sick, mended = run(gas, boiler, share), run(gas, boiler, 0.0)
    temperatures = sick.intake_temperature, mended.intake_temperature

    found = recirculated_share_from_o2(sick.intake_o2, sick.flue_o2, fuel)

    # 1e-9: only the solver's own rounding is between the two.
    assert found == pytest.approx(share, rel=0, abs=1e-9)
    assert recirculated_share_from_co2(
        sick.intake_co2, sick.flue_co2, fuel, room_co2=0.0
    ) == pytest.approx(share, rel=0, abs=1e-9)
    assert excess_air_ratio_once_mended(sick.flue_o2, found, fuel, *temperatures) == pytest.approx(
        mended.fresh_air_ratio, rel=1e-8
    )
    assert o2_once_mended(sick.flue_o2, found, fuel, *temperatures) == pytest.approx(
        mended.flue_o2, rel=0, abs=1e-9
    )
    assert co2_once_mended(sick.flue_co2, found, fuel, *temperatures) == pytest.approx(
        mended.flue_co2, rel=0, abs=1e-9
    )


@pytest.mark.parametrize("fuel", TESTED_FUELS)
@pytest.mark.parametrize("share", SHARES)
def test_the_molar_mass_left_out_is_less_than_a_digit(gas, fuel, share):
    """With the mixture's true density: lambda is too high by sqrt(M0/M), and by nothing else."""
    boiler = set_clean(gas, fuel, 1.3)
    sick, mended = run(gas, boiler, share), run(gas, boiler, 0.0)
    temperatures = sick.intake_temperature, mended.intake_temperature

    ratio = excess_air_ratio_once_mended(sick.flue_o2, share, fuel, *temperatures)
    oxygen = o2_once_mended(sick.flue_o2, share, fuel, *temperatures)

    left_out = (mended.molar_mass / sick.molar_mass) ** 0.5
    assert ratio == pytest.approx(mended.fresh_air_ratio * left_out, rel=1e-8)
    assert 1 <= left_out < 1 + 0.03 * share + 1e-12  # 0.15 % at 5 %
    # 0.05 percentage points of O2: half a digit of an analyser.
    assert oxygen == pytest.approx(mended.flue_o2, rel=0, abs=5e-4)


@pytest.mark.parametrize("fuel", TESTED_FUELS)
def test_temperatures_left_out_stay_within_two_digits_at_5_percent(gas, fuel):
    """Only the intake's readings known: flue gas at 65 °C warms freezing air by 3 K."""
    boiler = set_clean(gas, fuel, 1.3)
    sick, mended = run(gas, boiler, 0.05), run(gas, boiler, 0.0)

    assert sick.intake_temperature - mended.intake_temperature == pytest.approx(3.3, abs=0.3)
    shown = set_o2_once_mended(sick.flue_o2, sick.intake_o2, sick.flue_o2, fuel)
    assert 0 < mended.flue_o2 - shown < 1e-3  # 0.1 percentage points, leaner than said


@pytest.mark.parametrize("fuel", TESTED_FUELS)
@pytest.mark.parametrize("share", [0.05, 0.10])
def test_a_valve_leaned_while_flue_gas_comes_back_ends_as_lean_as_said(gas, fuel, share):
    """Set right, then flue gas comes back; somebody leans it to the old O2; the vent is mended."""
    boiler = set_clean(gas, fuel, 1.3, flue=273.15, weighs=False)  # no warmth: temperatures cancel
    target = run(gas, boiler, 0.0)
    found = run(gas, boiler, share)
    leaned = set_to(gas, boiler, share, target.flue_o2)
    after = run(gas, leaned, 0.0)

    warned = set_o2_once_mended(target.flue_o2, found.intake_o2, found.flue_o2, fuel)
    warned_co2 = set_co2_once_mended(
        target.flue_co2, found.intake_co2, found.flue_co2, fuel, room_co2=0.0
    )

    assert warned == pytest.approx(after.flue_o2, rel=0, abs=1e-9)
    assert warned_co2 == pytest.approx(after.flue_co2, rel=0, abs=1e-9)
    assert after.fresh_air_ratio == pytest.approx(1.3 / (1 - share), rel=1e-8)


def test_the_share_stays_while_the_valve_is_turned(gas):
    """What the warning takes for granted: the intake tells the same share before and after."""
    boiler = set_clean(gas, "natural_gas", 1.3)
    leaned = set_to(gas, boiler, 0.05, run(gas, boiler, 0.0).flue_o2)
    reading = run(gas, leaned, 0.05)

    share = recirculated_share_from_o2(reading.intake_o2, reading.flue_o2, "natural_gas")
    assert share == pytest.approx(0.05, rel=0, abs=1e-9)


# --- air of another temperature, pressure, humidity


@pytest.mark.parametrize("fuel", TESTED_FUELS)
@pytest.mark.parametrize("outdoors", [248.15, 273.15, 308.15])
def test_intake_temperature_shifts_the_readings_as_in_the_venturi(gas, fuel, outdoors):
    boiler = set_clean(gas, fuel, 1.3, outdoors=293.15)
    before, after = (run(gas, replace(boiler, outdoors=t), 0.0) for t in (293.15, outdoors))

    assert shifted_o2(before.flue_o2, fuel, 293.15, outdoors) == pytest.approx(
        after.flue_o2, rel=0, abs=1e-9
    )
    assert shifted_co2(before.flue_co2, fuel, 293.15, outdoors) == pytest.approx(
        after.flue_co2, rel=0, abs=1e-9
    )
    assert shifted_excess_air_ratio(1.3, 293.15, outdoors) == pytest.approx(
        after.fresh_air_ratio, rel=1e-8
    )


@pytest.mark.parametrize("pressure", [70_000.0, 85_000.0, 105_000.0])
def test_pressure_of_the_place_shifts_nothing(gas, pressure):
    """Air and gas both stand under it, and it drops out."""
    boiler = set_clean(gas, "natural_gas", 1.3)
    there = run(gas, replace(boiler, pressure=pressure), 0.0)

    assert there.fresh_air_ratio == pytest.approx(1.3, rel=1e-9)


def test_40_k_colder_is_about_0_7_points_of_co2_leaner():
    """Common practice, no source: set at 9 % and 20 °C, read at -20 °C."""
    assert 100 * (0.09 - shifted_co2(0.09, "natural_gas", 293.15, 253.15)) == pytest.approx(
        0.7, abs=0.05
    )


def test_saturated_air_at_30_degrees_has_3_percent_less_oxygen_for_the_gas(gas):
    """The limit named in `intake_air`: moles of dry air through the venturi, humidity by ASHRAE."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    ratio = psychrolib.GetHumRatioFromRelHum(30.0, 1.0, ATMOSPHERE)  # kg per kg
    dry_air = moles_of(gas, AIR.items())
    water = (
        ratio * (dry_air @ gas.molecular_weights) / gas.molecular_weights[gas.species_index("H2O")]
    )
    moist_air = dry_air + water * moles_of(gas, [("H2O", 1.0)])

    def drawn(mixture):
        """Moles of dry air through the venturi at one pressure difference."""
        state = at(gas, mixture, 303.15)
        return state.density**0.5 / state.mean_molecular_weight / mixture.sum()

    assert drawn(moist_air) / drawn(dry_air) == pytest.approx(0.97, abs=0.005)

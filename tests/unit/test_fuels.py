"""Laws of fuels: burning loses nothing, blends lie between their parts, nonsense is refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.components import (
    COMBUSTION_TEMPERATURES,
    COMPONENTS,
    METERING_TEMPERATURES,
    WATER_VAPORISATION,
)
from engine.physics.fuels import (
    AIR_OXYGEN,
    FUELS,
    NATURAL_GAS,
    PROPANE,
    PURE_PROPANE,
    Fuel,
    fuel_named,
    with_hydrogen,
)

SHARES = st.lists(st.floats(0.0, 1.0), min_size=len(COMPONENTS), max_size=len(COMPONENTS))


@st.composite
def mixtures(draw):
    """Any mixture of all components that a burner could run on: half of it methane."""
    parts = np.array(draw(SHARES))
    others = parts / (2 * max(parts.sum(), 1.0))
    shares = dict(zip(COMPONENTS, others.tolist(), strict=True))
    shares["CH4"] += 1 - sum(shares.values())
    return Fuel("mixture", shares)


# --- The table


def test_every_component_has_a_figure_for_every_reference_temperature():
    for component in COMPONENTS.values():
        assert len(component.gross_heat) == len(COMBUSTION_TEMPERATURES)
        assert len(component.summation_factor) == len(METERING_TEMPERATURES)
    assert len(WATER_VAPORISATION) == len(COMBUSTION_TEMPERATURES)


@pytest.mark.parametrize("formula", COMPONENTS)
def test_molar_mass_is_that_of_the_atoms(formula):
    """Atomic weights of ISO 6976:2016 table A.2, from memory; C 12.0107 and so on, IUPAC."""
    weights = np.array([12.0107, 1.00794, 15.9994, 14.0067])
    component = COMPONENTS[formula]

    assert 1e3 * component.molar_mass == pytest.approx(component.atoms @ weights, rel=1e-9)


@pytest.mark.parametrize("formula", COMPONENTS)
def test_what_burns_gives_heat_and_what_does_not_gives_none(formula):
    carbon, hydrogen, oxygen, _ = COMPONENTS[formula].atoms
    heats = COMPONENTS[formula].gross_heat

    assert all(heat > 0 for heat in heats) == (carbon + hydrogen / 4 - oxygen / 2 > 0)


# --- Balances


@given(fuel=mixtures(), ratio=st.floats(1.0, 3.0))
def test_atoms_that_go_in_come_out(fuel, ratio):
    """C, H, O, N counted over fuel, air, CO2, water, spare oxygen and nitrogen."""
    burnt = dict(fuel.composition)
    in_fuel = np.sum([x * np.array(COMPONENTS[each].atoms) for each, x in burnt.items()], axis=0)
    air = ratio * fuel.stoichiometric_air
    carbon_dioxide = fuel.co2_max_dry * fuel.stoichiometric_dry_flue_gas
    spare = (ratio - 1) * fuel.stoichiometric_oxygen
    dry = fuel.stoichiometric_dry_flue_gas + (ratio - 1) * fuel.stoichiometric_air
    nitrogen = dry - carbon_dioxide - spare

    went_in = in_fuel + np.array([0, 0, 2 * AIR_OXYGEN * air, 2 * (1 - AIR_OXYGEN) * air])
    came_out = (
        carbon_dioxide * np.array([1, 0, 2, 0])
        + fuel.water_per_mole * np.array([0, 2, 1, 0])
        + spare * np.array([0, 0, 2, 0])
        + nitrogen * np.array([0, 0, 0, 2])
    )
    assert came_out == pytest.approx(went_in, rel=1e-9, abs=1e-9)


@given(fuel=mixtures())
def test_mass_per_mole_is_that_of_the_atoms(fuel):
    weights = np.array([12.0107e-3, 1.00794e-3, 15.9994e-3, 14.0067e-3])
    atoms = np.sum([x * np.array(COMPONENTS[each].atoms) for each, x in fuel.composition], axis=0)

    assert fuel.molar_mass == pytest.approx(atoms @ weights, rel=1e-9)


@given(fuel=mixtures())
def test_net_heat_is_gross_heat_without_condensing_the_water(fuel):
    assert 0 < fuel.net_heat <= fuel.gross_heat
    assert fuel.gross_heat - fuel.net_heat == pytest.approx(44013.0 * fuel.water_per_mole, rel=1e-9)


@given(one=mixtures(), other=mixtures(), share=st.floats(0.0, 1.0))
def test_a_mixture_of_two_fuels_has_the_mean_of_their_molar_figures(one, other, share):
    both = {each: share * x for each, x in one.composition}
    for each, x in other.composition:
        both[each] += (1 - share) * x
    mixed = Fuel("both", both)

    for figure in ("gross_heat", "net_heat", "molar_mass", "stoichiometric_air", "water_per_mole"):
        expected = share * getattr(one, figure) + (1 - share) * getattr(other, figure)
        assert getattr(mixed, figure) == pytest.approx(expected, rel=1e-9)


# --- Presets and names


def test_facts_of_the_knowledge_keep_their_fuels():
    """The boiler's fact `fuel` is one of these two; cases and thresholds rest on them."""
    assert fuel_named("natural_gas") is NATURAL_GAS
    assert fuel_named("propane") is PROPANE
    assert dict(NATURAL_GAS.composition)["CH4"] == 0.939
    assert dict(PROPANE.composition)["C3H8"] == 0.90


@pytest.mark.parametrize("name", FUELS)
def test_every_preset_can_be_listed_and_found(name):
    fuel = fuel_named(name)

    assert fuel.name == name
    assert fuel.called
    assert "_" not in fuel.called
    assert len({each.called for each in FUELS.values()}) == len(FUELS)


def test_fuel_without_words_for_people_is_called_by_its_name():
    assert Fuel("trial", {"CH4": 1.0}).called == "trial"


def test_fuel_cannot_change_and_is_taken_as_it_is():
    methane = Fuel("methane", {"CH4": 1.0})

    with pytest.raises(AttributeError):
        methane.name = "other"
    assert methane == Fuel("methane", (("CH4", 1.0),))
    assert hash(methane) == hash(Fuel("methane", {"CH4": 1.0}))
    assert fuel_named(methane) is methane


# --- Hydrogen


@given(fuel=mixtures(), share=st.floats(0.0, 0.9), more=st.floats(0.01, 0.09))
def test_hydrogen_takes_carbon_and_weight_away(fuel, share, more):
    leaner, richer = with_hydrogen(fuel, share), with_hydrogen(fuel, share + more)

    assert richer.co2_max_dry < leaner.co2_max_dry <= fuel.co2_max_dry * (1 + 1e-12)
    assert richer.gross_heat < leaner.gross_heat
    assert richer.molar_mass < leaner.molar_mass
    assert sum(x for _, x in richer.composition) == pytest.approx(1.0, abs=1e-12)


def test_hydrogen_blend_carries_its_share_in_name_and_words():
    blend = with_hydrogen("natural_gas", 0.125)

    assert blend.name == "natural_gas_12.5_hydrogen"
    assert blend.called.endswith("with 12.5 % hydrogen")
    assert dict(blend.composition)["H2"] == 0.125
    assert FUELS["natural_gas_20_hydrogen"] == with_hydrogen("natural_gas", 0.2)


def test_hydrogen_already_in_the_fuel_stays():
    once = with_hydrogen("methane", 0.1)

    assert dict(with_hydrogen(once, 0.1).composition)["H2"] == pytest.approx(0.19)


# --- Refusals


@pytest.mark.parametrize(
    ("composition", "says"),
    [
        ({"CH4": 94.0, "N2": 6.0}, "percentage passed without dividing by 100"),
        ({"CH4": 0.9}, "add up to 0.9, not 1; divide each by that sum"),
        ({"CH4": float("nan"), "N2": 0.0}, "must be 0 to 1"),
        ({"methane": 1.0}, "component 'methane' is not known"),
        ({"CH5": 1.0}, "write 'CH4'"),
        ({"N2": 1.0}, "nothing in it burns"),
        ({"CH4": 0.3, "O2": 0.7}, "or it brings its own oxygen"),
        ({"H2": 1.0}, "its flue gas shows no CO2"),
    ],
)
def test_impossible_fuel_is_refused(composition, says):
    with pytest.raises(OutOfRange, match=says):
        Fuel("trial", composition)


@pytest.mark.parametrize(
    ("share", "says"),
    [
        (20, "percentage passed without dividing by 100"),
        (1.0, "its flue gas shows no CO2"),
        (np.array([0.1, 0.2]), "one number: a fuel has one composition"),
    ],
)
def test_impossible_share_of_hydrogen_is_refused(share, says):
    with pytest.raises(OutOfRange, match=says):
        with_hydrogen("methane", share)


@pytest.mark.parametrize(
    ("fuel", "says"),
    [
        ("natural gas", "write 'natural_gas'"),
        ("propan", "write 'propane'"),
        (None, "'natural_gas' or .* or 'pure_propane'"),
        (7, "fuel 7 is not known"),
    ],
)
def test_unknown_fuel_is_refused_with_the_nearest(fuel, says):
    with pytest.raises(OutOfRange, match=says):
        fuel_named(fuel)


def test_pure_propane_differs_from_propane_as_sold_by_what_is_sold_with_it():
    """5 % propylene and 3.5 % butanes raise CO2max; methane cannot make up for it."""
    assert PROPANE.co2_max_dry > PURE_PROPANE.co2_max_dry

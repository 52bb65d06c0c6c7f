"""The verdict on readings against flames that Cantera burns, with too little air too."""

import cantera
import pytest

from engine.physics.fuel_line import fuel_line_verdict
from engine.physics.fuels import FUELS
from tests.reference.burners import Burner

CELLS = {"o2_deviation": 0.001, "co2_deviation": 0.0015}


@pytest.mark.parametrize("fuel", sorted(FUELS))
@pytest.mark.parametrize("ratio", [1.02, 1.3, 1.9])
def test_complete_combustion_fits(fuel, ratio):
    burner = Burner(FUELS[fuel], ratio)
    verdict = fuel_line_verdict(burner.o2, burner.co2, fuel, **CELLS)

    assert verdict.fits
    assert verdict.gap == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("ratio", [0.7, 0.8, 0.9])
def test_too_little_air_is_told(ratio):
    """Methane in 70 to 90 % of its air; the reactions of the flame freeze at about 1700 K."""
    gas = cantera.Solution("gri30.yaml")
    gas.TP = 298.15, cantera.one_atm
    gas.set_equivalence_ratio(1 / ratio, "CH4:1", "O2:0.209, N2:0.791")
    gas.equilibrate("HP")
    gas.TP = 1700.0, cantera.one_atm
    gas.equilibrate("TP")
    dry = 1 - gas["H2O"].X[0]
    o2, co2, co = (gas[name].X[0] / dry for name in ("O2", "CO2", "CO"))

    assert co > 0.02
    verdict = fuel_line_verdict(o2, co2, "methane", **CELLS)
    assert verdict.explanations[0].kind == "too_little_air"

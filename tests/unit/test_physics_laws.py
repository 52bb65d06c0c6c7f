"""What every calculation must do: refuse nonsense, take arrays, say its units.

Each module of `engine.physics` has a file of the same name under `tests/sound/` with arguments
that its functions must take; a public function without them fails here.
"""

import importlib
import inspect
import pkgutil
import re

import numpy as np
import pytest

from engine import physics
from engine.errors import OutOfRange
from engine.physics import CALCULATIONS
from engine.units import QUANTITIES

NO_CALCULATIONS = {"limits", "propagation"}  # refusal itself, and what doubt does to any of them
MODULES = [
    importlib.import_module(f"engine.physics.{found.name}")
    for found in pkgutil.iter_modules(physics.__path__)
    if found.name not in NO_CALCULATIONS
]


def _short(module):
    return module.__name__.rpartition(".")[2]


def _public(module):
    return {
        each
        for name, each in inspect.getmembers(module, inspect.isfunction)
        if not name.startswith("_") and each.__module__ == module.__name__
    }


SOUND = {}
for _module in MODULES:
    if _public(_module):
        SOUND.update(importlib.import_module(f"tests.sound.{_short(_module)}").SOUND)

CASES = [pytest.param(f, given, id=f.__name__) for f, given in SOUND.items()]
NUMERIC = [
    pytest.param(f, given, name, id=f"{f.__name__}-{name}")
    for f, given in SOUND.items()
    for name, value in given.items()
    if isinstance(value, float)
]
GIVING_FLOATS = [
    pytest.param(f, given, id=f.__name__)
    for f, given in SOUND.items()
    if isinstance(f(**given), float)
]


@pytest.mark.parametrize("module", MODULES, ids=_short)
def test_every_public_calculation_has_sound_arguments(module):
    assert _public(module) <= set(SOUND)


@pytest.mark.parametrize(("function", "given"), CASES)
def test_sound_arguments_are_complete(function, given):
    assert set(given) == set(inspect.signature(function).parameters)


@pytest.mark.parametrize("module", MODULES, ids=_short)
def test_package_page_lists_the_module(module):
    assert re.search(rf"^{_short(module)} +\w", physics.__doc__, re.MULTILINE)


@pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=lambda each: each.name)
def test_table_for_the_knowledge_matches_the_function(calculation):
    parameters = inspect.signature(calculation.function).parameters
    needed = [name for name, each in parameters.items() if each.default is inspect.Parameter.empty]

    assert set(needed) <= set(calculation.inputs) <= set(parameters)
    assert set(calculation.inputs.values()) <= {*QUANTITIES, "fuel"}
    assert calculation.quantity in QUANTITIES


@pytest.mark.parametrize(("function", "given"), CASES)
def test_docstring_says_every_unit(function, given):
    text = inspect.getdoc(function)
    parameters = re.search(r"Parameters\n-+\n(.*?)\n\nReturns\n-+\n", text, re.DOTALL)[1]
    described = re.findall(r"^([\w, ]+) : .*\n((?:    .*(?:\n|$))+)", parameters, re.MULTILINE)
    names = [name for names, _ in described for name in names.split(", ")]

    assert names == list(inspect.signature(function).parameters)
    for name, description in described:
        assert re.search(r"\[[^\]]+\]", description), f"{name} has no [unit]"
    for section in ("Returns", "Raises", "Examples"):
        assert f"\n{section}\n---" in text


@pytest.mark.parametrize(("function", "given", "parameter"), NUMERIC)
@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), -float("inf"), -1e15, 1e15, "0.05", None, True]
)
def test_value_outside_the_range_is_refused(function, given, parameter, value):
    with pytest.raises(OutOfRange):
        function(**{**given, parameter: value})


@pytest.mark.parametrize(("function", "given", "parameter"), NUMERIC)
def test_one_bad_value_among_many_is_refused(function, given, parameter):
    good = given[parameter]

    with pytest.raises(OutOfRange):
        function(**{**given, parameter: np.array([good, np.nan, good])})


@pytest.mark.parametrize(("function", "given"), GIVING_FLOATS)
def test_arrays_give_what_single_values_give(function, given):
    single = function(**given)
    several = function(
        **{
            name: np.array([value, value]) if isinstance(value, float) else value
            for name, value in given.items()
        }
    )

    assert several.shape == (2,)
    assert several == pytest.approx([single, single], rel=1e-12, abs=0)

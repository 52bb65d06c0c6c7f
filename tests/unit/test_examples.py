"""What a refused or empty field gives as example is a value that the field may have."""

import pytest

from engine import units
from engine.belief.readings import example_of, read_values
from engine.errors import UnreadableValue
from engine.knowledge.facts import fact_from_text
from engine.units.typed_values import unit_of, usual_spelling
from engine.visit.preferences import SYSTEMS, in_units


def fields(known):
    return [
        (name, check, field)
        for name, check in known.checks.items()
        for field in (check.reading.fields if check.reading else ())
    ]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_example_of_every_field_is_plausible_and_in_its_unit(knowledge, system):
    known = in_units(knowledge, system)
    assert len(fields(known)) > 30
    for name, check, field in fields(known):
        entry = check.reading.fields[field]
        example = example_of(known, {}, check, field)
        low, high = (units.parse(text, entry.quantity) for text in entry.plausible)

        assert low < units.parse(example, entry.quantity, entry.unit) < high, (name, field)
        wanted = usual_spelling(entry.quantity, entry.unit)
        assert usual_spelling(entry.quantity, unit_of(example)) == wanted, (name, field)


@pytest.mark.parametrize(
    ("system", "unit", "low", "high"),
    [("metric", "bar", 0.8, 2.5), ("us", "psi", 12, 36), ("pascal", "kPa", 80, 250)],
)
def test_water_pressure_is_not_refused_with_a_gas_pressure(knowledge, system, unit, low, high):
    """Bounds: cold set pressure to hot limit, as the facts of the boiler say."""
    known = in_units(knowledge, system)
    with pytest.raises(UnreadableValue) as refused:
        read_values(known, {}, "system_pressure_gauge", {"pressure": "5 bananas"})
    (example,) = str(refused.value).split("such as ")[1].split(" or ")

    assert str(refused.value).startswith("unit 'bananas' is not known; write a gauge pressure")
    assert example.strip("'").endswith(f" {unit}")
    assert low < float(example.strip("'").split()[0]) < high


def test_the_limits_of_the_boiler_move_the_example(knowledge):
    check = knowledge.checks["system_pressure_gauge"]
    own = {"system_pressure_min": 2.0e5, "system_pressure_max": 3.0e5}

    assert example_of(knowledge, own, check, "pressure") == "2.5 bar"


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_fact_is_refused_with_a_value_that_it_takes(knowledge, system):
    known = in_units(knowledge, system)
    numbers = {name: fact for name, fact in known.facts.items() if fact.choices is None}
    assert len(numbers) > 10
    for name, fact in numbers.items():
        with pytest.raises(UnreadableValue) as refused:
            fact_from_text(known, name, "5 bananas")
        example = str(refused.value).split("such as ")[1].strip("'")

        assert fact_from_text(known, name, example), name
        assert usual_spelling(fact.quantity, unit_of(example)) == usual_spelling(
            fact.quantity, fact.unit
        )


def test_what_is_read_is_not_changed_by_the_example():
    assert units.parse("4 mbar", "gauge_pressure", example="1.5 bar") == 400.0
    with pytest.raises(UnreadableValue, match=r"such as '1\.5 bar'$"):
        units.parse("4 V", "gauge_pressure", example="1.5 bar")

"""Settings: kept, read back whatever was kept, and the knowledge in other units."""

import pytest

from engine import units
from engine.errors import UnreadableValue
from engine.visit.preferences import SYSTEMS, Preferences, changed, in_units, keep, preferences


def test_settings_are_kept_and_replaced(store):
    assert preferences(store) == Preferences()
    keep(store, Preferences(company="Example Heating", labour_rate=80.0, units="us"))
    keep(store, changed(preferences(store), company="Example & Sons"))
    kept = preferences(store)
    assert (kept.company, kept.labour_rate, kept.units) == ("Example & Sons", 80.0, "us")


def test_a_setting_that_cannot_be_read_hides_no_other(store):
    keep(store, Preferences(company="Example Heating"))
    store.keep_settings({"look": "pink", "of_another_version": 3})
    assert preferences(store).company == "Example Heating"
    assert preferences(store).look == "device"


@pytest.mark.parametrize("wrong", [{"labour_rate": -1}, {"look": "pink"}, {"company": "x" * 201}])
def test_a_wrong_setting_is_refused_by_its_name(wrong):
    with pytest.raises(UnreadableValue, match=next(iter(wrong)).replace("_", " ")):
        changed(Preferences(), **wrong)


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_unit_of_a_system_can_be_typed_and_shown(knowledge, system):
    turned = in_units(knowledge, system)
    fields = [
        (field.quantity, field.unit)
        for check in turned.checks.values()
        if check.reading
        for field in check.reading.fields.values()
    ]
    facts = [(fact.quantity, fact.unit) for fact in turned.facts.values() if fact.quantity]
    for quantity, unit in {*fields, *facts}:
        assert units.parse("1", quantity, default_unit=unit) == pytest.approx(
            units.parse(f"1 {unit}", quantity)
        )


def test_gas_pressure_follows_the_units_and_the_value_stays(knowledge):
    """10 inH2O = 24.9 mbar = 2.49 kPa: NIST SP 811, table B.8, 249.0889 Pa for an inch."""
    shown = {}
    for system in SYSTEMS:
        reading = in_units(knowledge, system).checks["inlet_gas_pressure_running"].reading
        unit = next(iter(reading.fields.values())).unit
        shown[system] = units.show(2490.889, "gauge_pressure", unit)
    assert shown == {"metric": "24.9 mbar", "pascal": "2.49 kPa", "us": "10.0 inH2O"}


def test_the_knowledge_as_written_is_never_touched(knowledge):
    before = knowledge.facts["altitude"].unit
    assert in_units(knowledge, "us").facts["altitude"].unit == "ft"
    assert knowledge.facts["altitude"].unit == before
    assert in_units(knowledge, None) is knowledge

"""What every test may ask for, and the one Hypothesis profile."""

import os

import pytest
from hypothesis import HealthCheck, settings

from engine.knowledge import Knowledge
from engine.records import Store
from engine.visit import events as happened
from engine.visit import keeping

settings.register_profile(
    "sightport",
    deadline=None,  # a first look at a visit builds its tables, the next one does not
    derandomize=os.environ.get("CI") == "true",
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
settings.load_profile("sightport")
# A failing property prints its arguments: by its version the knowledge is named well enough.
Knowledge._repr_pretty_ = lambda known, printer, cycle: printer.text(repr(known))


@pytest.fixture(scope="session")
def knowledge():
    """The shipped knowledge, read once."""
    return keeping.knowledge()


@pytest.fixture
def store(tmp_path):
    """A store on a file of its own."""
    kept = Store(f"sqlite:///{tmp_path / 'visits.db'}")
    yield kept
    kept.close()


@pytest.fixture
def after(store, knowledge):
    """A stored visit after some events."""

    def visit_after(*events, who="technician"):
        visit = keeping.begin(store, knowledge, who, "Mill Lane 4")
        for event in events:
            keeping.record(store, knowledge, visit, event)
        return keeping.read(store, knowledge, visit)

    return visit_after


@pytest.fixture
def begun(store, knowledge):
    """Begins a visit with a complaint and further events; its id."""

    def begin(*events, who="technician", complaint="flame_lost_after_lighting"):
        visit = keeping.begin(store, knowledge, who, "Mill Lane 4")
        for event in (happened.SymptomReported(symptom=complaint), *events):
            keeping.record(store, knowledge, visit, event)
        return visit

    return begin


@pytest.fixture
def events_of(store):
    """The stored events of a visit, as they were entered."""
    return lambda visit: [happened.EVENT.validate_python(e.body) for e in store.events(visit)]

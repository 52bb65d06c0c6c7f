"""The app run without a browser, on a database of its own."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from engine.visit import events as happened
from engine.visit import keeping

APP = Path(__file__).parents[2] / "app.py"
SCREENS = "engine/screens/"


@pytest.fixture(autouse=True)
def database(store, tmp_path, monkeypatch):
    """The app and the test look at the same file."""
    monkeypatch.setenv("SIGHTPORT_DATABASE", f"sqlite:///{tmp_path / 'visits.db'}")
    return store


@pytest.fixture
def open_page():
    """Opens a page in a session of its own, as a browser would by its address."""

    def opened(name="start", visit=None, **query):
        app = AppTest.from_file(str(APP), default_timeout=60).run()
        if name != "start":
            app.switch_page(f"{SCREENS}{name}.py")
        if visit is not None:
            query["visit"] = visit
        for key, value in query.items():
            app.query_params[key] = str(value)
        return app.run()

    return opened


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

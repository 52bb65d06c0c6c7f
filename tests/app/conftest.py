"""The app run without a browser, on a database of its own."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

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

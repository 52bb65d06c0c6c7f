"""A server and a browser for all tests of one process, and people with a page each."""

import os
import shutil

import pytest
from playwright.sync_api import sync_playwright

from engine.records import Store
from tests.browser.person import PHONE, Person
from tests.browser.serving import Server

MISSING = (
    "These tests need Chromium and found none. Install Debian's package 'chromium', or name the "
    "program in the environment variable CHROMIUM."
)


@pytest.fixture(scope="session")
def server(tmp_path_factory):
    """The app, running on a database of its own."""
    server = Server(tmp_path_factory.mktemp("server")).start()
    yield server
    server.kill()


@pytest.fixture(scope="session")
def chromium():
    """Where the browser is; without one the tests fail and say what to install."""
    found = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not found:
        pytest.fail(MISSING, pytrace=False)
    return found


@pytest.fixture(scope="module")
def browser(chromium):
    """One browser; each person gets a context of their own in it."""
    with sync_playwright() as playwright:
        # No sandbox: test machines run as root, and only the app's own pages are opened.
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def somebody(browser, server):
    """Makes people who share nothing but the server: each a phone of their own."""
    contexts = []

    def appears(url: str = server.url, **look) -> Person:
        context = browser.new_context(**({"viewport": PHONE} | look))
        contexts.append(context)
        return Person(context.new_page(), url)

    yield appears
    for context in contexts:
        context.close()


@pytest.fixture(scope="module")
def phone(browser):
    """A phone that has had the app open before, so that its parts are there already."""
    context = browser.new_context(viewport=PHONE)
    yield context
    context.close()


@pytest.fixture
def anna(phone, server):
    """A person with that phone, and a new tab on it."""
    page = phone.new_page()
    yield Person(page, server.url)
    page.close()


@pytest.fixture
def store(server):
    """What the app has stored."""
    kept = Store(server.database)
    yield kept
    kept.close()

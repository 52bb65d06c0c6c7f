"""Somebody with the app on a screen: does what a person does, in words that read as a story."""

import re
from pathlib import Path
from urllib.parse import urlsplit

from playwright.sync_api import Locator, Page, expect

from engine.knowledge.schema import Check
from tests.browser.runs import Runs

PHONE = {"width": 390, "height": 844}

expect.set_options(timeout=60_000)


class Person:
    """One person at one browser page.

    Labels are matched from their beginning, as the eye does: a button may say more than its name.
    Everything waits until the page has come to rest.
    """

    def __init__(self, page: Page, url: str):
        self.page = page
        page.set_default_timeout(60_000)  # patience for a machine that is busy with other tests
        self.runs = Runs(page)
        self._url = url

    def opens(self, path: str = "") -> None:
        """Go to an address of the app."""
        self.runs.ask_again()
        self.page.goto(f"{self._url}/{path}")
        self.runs.rest()

    def opens_visit(self, visit: int, path: str = "visit") -> None:
        """Go to a visit by its number."""
        self.opens(f"{path}?visit={visit}")

    def loads_again(self) -> None:
        """The same address once more."""
        self.opens(self.page.url.removeprefix(f"{self._url}/"))

    def goes_back(self) -> None:
        """The browser's own button."""
        before = self.page.url
        self.page.evaluate("() => history.back()")
        self.page.wait_for_function("(before) => location.href !== before", arg=before)
        self.runs.rest()

    def presses(self, label: str) -> None:
        """A button, or a link that looks like one."""
        self.button(label).click()
        self.runs.rest()

    def button(self, label: str) -> Locator:
        """The first button or link that says just this, or else begins with it."""
        for rest in (r"$", ""):
            named = re.compile(rf"^\W*{re.escape(label)}{rest}")
            found = self.page.get_by_role("button", name=named).or_(
                self.page.get_by_role("link", name=named)
            )
            if found.count():
                break
        return found.first

    def unfolds(self, label: str) -> Locator:
        """A folded part of the page; what is inside it."""
        part = self.page.get_by_test_id("stExpander").filter(
            has=self.page.locator("summary", has_text=label)
        )
        # A part may hold further folded parts; its own stands first.
        if part.locator("details").first.get_attribute("open") is None:
            part.locator("summary").first.click()
            self.runs.rest()
        return part

    def chooses(self, label: str) -> None:
        """One of several choices: a round mark or a pill."""
        named = re.compile(rf"^\W*{re.escape(label)}")
        self.page.get_by_test_id("stMain").locator("label").or_(
            self.page.get_by_test_id("stButtonGroup").locator("button")
        ).filter(has_text=named).first.click()
        self.runs.rest()

    def writes(self, label: str, text: str) -> None:
        """Words or a number into the field with a label; leaving it hands them over."""
        box = self.field(label)
        box.fill(text)
        box.blur()
        self.runs.rest()

    def field(self, label: str) -> Locator:
        """The text field with a label."""
        return self.page.get_by_label(re.compile(rf"^{re.escape(label)}")).first

    def saves(self, label: str, folder: Path) -> Path:
        """A download; the file."""
        with self.page.expect_download() as waiting:
            self.page.get_by_role("button", name=label).first.click()
        file = folder / waiting.value.suggested_filename
        waiting.value.save_as(file)
        self.runs.rest()
        return file

    def answers(self, check: Check, outcome: str) -> None:
        """What one sees, by its words; beside a number field they are folded."""
        if check.reading is not None:
            self.unfolds("No figure, only what you see")
        self.presses(check.outcomes[outcome].says)

    def is_on(self, page: str) -> None:
        """The address is that of a page."""
        path = urlsplit(self.page.url).path
        assert path == f"/{page}", f"on {path}, not on /{page}:\n{self.text}"

    @property
    def text(self) -> str:
        """Everything written on the page."""
        return self.page.get_by_test_id("stMain").inner_text()

    @property
    def visit(self) -> int:
        """The number of the visit, as the address has it."""
        return int(re.search(r"[?&]visit=(\d+)", self.page.url)[1])

    @property
    def step(self) -> str:
        """The heading of the step on the screen; empty where there is none."""
        headings = self.page.get_by_test_id("stMain").locator("h2").all_inner_texts()
        return headings[0] if headings else ""

    def sees(self, text: str) -> None:
        """The words are on the screen."""
        expect(self.page.get_by_test_id("stMain")).to_contain_text(text)

    def does_not_see(self, text: str) -> None:
        """The words are nowhere on the screen."""
        expect(self.page.get_by_test_id("stMain")).not_to_contain_text(text)

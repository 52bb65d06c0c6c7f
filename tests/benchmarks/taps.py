"""How long a person waits between a tap on an answer and the next step on the screen.

    python -m tests.benchmarks.taps [--users 1 20] [--drawn 1] [--taps 40] [--think 5 15]

What is real: the app as README starts it, browsers (Chromium) that draw every page at phone width,
and the time measured inside the page, from the tap until the heading of the next step stands there
(`step`) and until nothing is left to come (`rest`). What is simulated: the people. Each answers
with a random outcome that is no danger sign, and thinks for some seconds between two taps. Each
begins their visit behind the screens; a first tap of each is not counted, since it waits for the
tables of that complaint. Where a step takes no tap on an answer, a new visit is begun.

With many people `drawn` of them have a browser and are measured; the others send and receive what
a browser would (`undrawn`), so that the server has its whole work, but the browsers of twenty
people do not stand on the server's processors, as they do not in the field: a browser that loads
its page keeps a processor for a second. `--drawn 20` gives every one a browser. The load of the
machine is printed, for a busy neighbour makes the figures longer.
"""

import argparse
import asyncio
import os
import random
import shutil
import statistics
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

from playwright.async_api import Browser, Page, async_playwright

from engine.knowledge import Knowledge
from engine.records import Store
from engine.visit import events as happened
from engine.visit import keeping
from tests.benchmarks.undrawn import Undrawn
from tests.browser.person import PHONE
from tests.browser.serving import Server

WANTED = {1: 700, 20: 1500}
"""Milliseconds to the next step at the 95th percentile, by the number of people."""

_READY = """() => {
  const app = document.querySelector('[data-testid="stApp"]');
  return app?.dataset.testScriptState === 'notRunning' && document.querySelector('h1, h2') !== null
    && document.querySelector('[data-stale="true"]') === null;
}"""

# Taps an answer that means no danger; null where there is none. `dice` is from 0 to 1.
_TAP = """async (dice) => {
  const main = document.querySelector('[data-testid="stMain"]');
  const buttons = [...main.querySelectorAll('[class*="st-key-answers_"] button')]
    .filter(button => !button.innerText.includes('danger sign'));
  if (!buttons.length) return null;
  const heading = () => main.querySelector('h1, h2')?.innerText;
  const app = document.querySelector('[data-testid="stApp"]');
  const before = heading(), tapped = performance.now();
  buttons[Math.floor(dice * buttons.length)].click();
  const moment = () => new Promise(done => requestAnimationFrame(done));
  while (heading() === before || heading() === undefined) {
    await moment();
    if (performance.now() - tapped > 60000) throw new Error(`still at ${before}`);
  }
  const step = performance.now() - tapped;
  while (app.dataset.testScriptState !== 'notRunning'
         || document.querySelector('[data-stale="true"]') !== null) await moment();
  return [step, performance.now() - tapped];
}"""


@dataclass
class Waits:
    """Milliseconds of every counted tap in a browser, and how many taps others made beside it."""

    step: list[float] = field(default_factory=list)
    rest: list[float] = field(default_factory=list)
    beside: int = 0


def begin(store: Store, known: Knowledge, dice: random.Random) -> int:
    """A technician's visit with one complaint."""
    complaints = [name for name, symptom in known.symptoms.items() if not symptom.danger]
    visit = keeping.begin(store, known, "technician")
    complaint = happened.SymptomReported(symptom=dice.choice(complaints))
    keeping.record(store, known, visit, complaint)
    return visit


async def _opened(page: Page, url: str, visit: int) -> None:
    await page.goto(f"{url}/visit?visit={visit}")
    await page.wait_for_function(_READY, timeout=120_000)


async def one_drawn(
    browser: Browser, url: str, store: Store, known: Knowledge, number: int, asked, waits: Waits
) -> None:
    """Tap through visits in a browser until enough taps are counted."""
    dice = random.Random(f"person {number}")
    context = await browser.new_context(viewport=PHONE)
    page = await context.new_page()
    counted, fresh = 0, True
    await _opened(page, url, begin(store, known, dice))
    while counted < asked.taps:
        await asyncio.sleep(dice.uniform(*asked.think))
        taken = await page.evaluate(_TAP, dice.random())
        if taken is None:
            await _opened(page, url, begin(store, known, dice))
        elif fresh:
            fresh = False
        else:
            counted += 1
            waits.step.append(taken[0])
            waits.rest.append(taken[1])
    await context.close()


async def one_undrawn(
    url: str, store: Store, known: Knowledge, number: int, asked, waits: Waits
) -> None:
    """Tap through visits without a browser until told to stop."""
    dice = random.Random(f"person {number}")
    async with Undrawn(url) as page:
        await page.open(begin(store, known, dice))
        while True:
            await asyncio.sleep(dice.uniform(*asked.think))
            if await page.tap(dice):
                waits.beside += 1
            else:
                await page.open(begin(store, known, dice))


async def _all_at_once(browser, users, asked, url, store, known, waits) -> None:
    drawn = min(users, asked.drawn)
    async with asyncio.TaskGroup() as group:
        others = [
            group.create_task(one_undrawn(url, store, known, number, asked, waits))
            for number in range(drawn, users)
        ]
        await asyncio.gather(
            *(one_drawn(browser, url, store, known, n, asked, waits) for n in range(drawn))
        )
        for other in others:
            other.cancel()


async def together(users: int, asked, known: Knowledge) -> Waits:
    """So many people at once, with a server of their own."""
    chromium = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not chromium:
        raise SystemExit("Chromium was not found; install Debian's package 'chromium'")
    waits = Waits()
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder)).start()
        store = Store(server.database)
        try:
            async with async_playwright() as playwright:
                browser = await playwright.chromium.launch(
                    executable_path=chromium, args=["--no-sandbox"]
                )
                await _all_at_once(browser, users, asked, server.url, store, known, waits)
                await browser.close()
        finally:
            store.close()
            server.kill()
    return waits


def line(users: int, waits: Waits) -> str:
    """What came out, and whether it is what is wanted."""
    step, rest = (
        (statistics.median(values), statistics.quantiles(values, n=20)[-1])
        for values in (waits.step, waits.rest)
    )
    text = (
        f"{users:3} people, {len(waits.step):4} taps in a browser, {waits.beside} beside: "
        f"next step {step[0]:5.0f} ms, 95 in 100 within {step[1]:5.0f} ms; "
        f"at rest {rest[0]:5.0f} ms, {rest[1]:5.0f} ms"
    )
    wanted = WANTED.get(users)
    return text + (f"; wanted {wanted} ms: {'met' if step[1] <= wanted else 'missed'}"
                   if wanted else "")  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--users", type=int, nargs="+", default=[1, 20])
    parser.add_argument("--drawn", type=int, default=1, help="people with a browser, at most")
    parser.add_argument("--taps", type=int, default=40, help="counted taps of each of them")
    parser.add_argument("--think", type=float, nargs=2, default=(5.0, 15.0), help="seconds")
    asked = parser.parse_args()
    known = keeping.knowledge()
    print(f"{os.cpu_count()} processors, load before {os.getloadavg()[0]:.1f}")
    for users in asked.users:
        waits = asyncio.run(together(users, asked, known))
        print(line(users, waits), f"(load {os.getloadavg()[0]:.1f})")


if __name__ == "__main__":
    main()

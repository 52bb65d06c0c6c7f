"""Every screen: can be read and used by anybody, on any width, by thumb or by keyboard."""

import pytest

from engine.visit import events as happened
from tests.browser import axe
from tests.browser.places import PLACES

WIDTHS = (390, 820, 1280)
LEAST = 44  # CSS pixels of height: Web Content Accessibility Guidelines 2.2, criterion 2.5.5

# A hidden link for screen readers is as small as it likes; a round mark or a tick is pressed by
# its label.
_LOW = """(least) => [...document.querySelectorAll(
    'button, a:not([data-testid="stSkipToContent"]), summary, [role="button"], label:has(input)')]
  .map(e => [e.getBoundingClientRect(), e.innerText.trim()])
  .filter(([box, text]) => text && box.width > 0 && box.height > 0 && box.height < least - 0.5)
  .map(([box, text]) => `${text.slice(0, 40)}: ${box.height} px high`)"""

_WIDEST = """() => Math.max(document.documentElement.scrollWidth,
  ...[...document.querySelectorAll('[data-testid="stMain"]')].map(e => e.scrollWidth))"""

_PAPER = (
    """() => getComputedStyle(document.querySelector('[data-testid="stApp"]')).backgroundColor"""
)


@pytest.fixture(scope="session")
def rules():
    """The script of axe-core; without it the tests fail and say how to get it."""
    script = axe.script()
    if script is None:
        pytest.fail(axe.MISSING, pytrace=False)
    return script


@pytest.mark.parametrize("place", PLACES)
def test_a_screen_breaks_no_rule_of_accessibility_and_fits(place, anna, begun, rules):
    PLACES[place](anna, begun)
    problems, papers = [], set()
    for scheme in ("light", "dark"):
        anna.page.emulate_media(color_scheme=scheme)
        anna.runs.rest()
        papers.add(anna.page.evaluate(_PAPER))
        problems += [f"{scheme}: {line}" for line in axe.violations(anna.page, rules)]
    problems += anna.page.evaluate(_LOW, LEAST)
    for width in WIDTHS:
        anna.page.set_viewport_size({"width": width, "height": 844})
        anna.runs.rest()
        widest = anna.page.evaluate(_WIDEST)
        problems += [f"{widest} px wide on {width}"] * (widest > width)

    assert not problems, "\n".join(problems)
    assert len(papers) == 2  # it was looked at in two colour schemes indeed


def test_what_breaks_a_rule_is_found(anna, rules):
    """The checks above can fail."""
    anna.page.set_content(
        "<html lang=en><title>x</title><main><h1>x</h1><img src='x.png'>"
        "<p style='color: #999; background: #fff'>faint</p>"
        "<button style='height: 20px'>low</button><div style='width: 900px'>wide</div></main>"
    )

    found = {line.partition(":")[0] for line in axe.violations(anna.page, rules)}

    assert {"image-alt", "color-contrast"} <= found
    assert len(anna.page.evaluate(_LOW, LEAST)) == 1
    assert anna.page.evaluate(_WIDEST) > 390


# ------------------------------------------------------------------ by keyboard only


def _tab_to(person, label, most=80):
    for _ in range(most):
        person.page.keyboard.press("Tab")
        if (person.page.evaluate(_FOCUSED) or "").startswith(label):
            return
    raise AssertionError(f"{label!r} was not reached with {most} tabs")


_FOCUSED = """() => {
  const e = document.activeElement;
  return (e.innerText || e.getAttribute('aria-label') || e.labels?.[0]?.innerText || '').trim();
}"""

_FOCUS_IS_SEEN = """() => {
  const style = getComputedStyle(document.activeElement);
  return style.outlineStyle !== 'none' && style.outlineWidth !== '0px'
    || style.boxShadow !== 'none';
}"""


@pytest.mark.parametrize("key", ["Enter", "Space"])
def test_a_step_is_answered_by_keyboard_alone(key, anna, begun, events_of, knowledge):
    check = knowledge.checks["start_sequence"]
    visit = begun()
    anna.opens(f"visit?visit={visit}&step=check.start_sequence")

    _tab_to(anna, check.outcomes[check.healthy].says)
    assert anna.page.evaluate(_FOCUS_IS_SEEN)
    anna.page.keyboard.press(key)
    anna.runs.rest()

    assert events_of(visit)[-1] == happened.Found(check="start_sequence", outcome=check.healthy)
    anna.sees(f"{check.name}: {check.outcomes[check.healthy].says}")


def test_a_number_is_entered_by_keyboard_alone(anna, begun, events_of, knowledge):
    (name, field), *_ = knowledge.checks["inlet_gas_pressure_running"].reading.fields.items()
    visit = begun()
    anna.opens(f"visit?visit={visit}&step=check.inlet_gas_pressure_running")

    _tab_to(anna, field.name)
    anna.page.keyboard.type("20 mbar")
    anna.page.keyboard.press("Enter")
    anna.runs.rest()

    assert events_of(visit)[-1].values == {name: "20 mbar"}

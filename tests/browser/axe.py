"""The rules of axe-core, applied to a page as it stands."""

import os
from pathlib import Path

from playwright.sync_api import Page

from tests.browser.serving import ROOT

MISSING = (
    "The rules of accessibility come from the npm package 'axe-core', which was not found. Run "
    "'npm install --no-save axe-core' in the project's folder, or name the folder of the package "
    "in the environment variable AXE_CORE."
)


def script() -> Path | None:
    """Where axe-core is; None where it is not."""
    folders = (os.environ.get("AXE_CORE"), ROOT / "node_modules" / "axe-core")
    files = [Path(folder) / "axe.min.js" for folder in folders if folder]
    return next((file for file in files if file.is_file()), None)


FRAME = {"presentation-role-conflict": 'data-testid="stFileUploaderDropzone"'}
"""Rule -> the one element of Streamlit's own frame that breaks it, out of our reach: the field that
takes a file calls itself presentation and is named all the same."""


def violations(page: Page, axe: Path) -> list[str]:
    """What breaks a rule: a line for each element, with the rule and where it is."""
    if not page.evaluate("() => 'axe' in window"):
        page.add_script_tag(path=axe)
    found = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{rule['id']}: {node['target']} {node['html'][:200]} {node['failureSummary']}"
        for rule in found["violations"]
        for node in rule["nodes"]
        if FRAME.get(rule["id"], "\0") not in node["html"]
    ]

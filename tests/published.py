"""Values that somebody else printed, as rows of a test."""

from typing import NamedTuple

import pytest


class Published(NamedTuple):
    """One value somebody else printed, and how closely we must meet it."""

    given: dict
    expected: float
    within: float  # half a unit in the last printed digit, unless the source says otherwise
    source: str  # document, edition, table or page; "from memory" where it was not looked up


def rows(*values):
    """Run a test once for each row; a failure names the document."""
    return pytest.mark.parametrize("row", values, ids=lambda row: row.source)

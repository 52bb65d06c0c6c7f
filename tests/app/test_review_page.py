"""The Review page: what the rules say, and a cause rehearsed."""

import pytest

from engine.knowledge.review import review
from tests.app.pages import press, shown


@pytest.fixture
def page(open_page):
    return open_page("review")


def test_problems_and_remarks_are_told_with_their_place(page, knowledge):
    text = shown(page)
    report = review(knowledge)
    assert f"Problems: {len(report.problems)}" in text
    assert f"Remarks: {len(report.remarks)}" in text
    for remark in report.remarks:
        assert f"{remark.file}, line {remark.line}: {remark.what}" in text
    assert f"{len(knowledge.causes)} causes" in text


def test_without_a_cause_nothing_is_rehearsed_and_that_is_said(page):
    press(page, "Rehearse")
    assert "Choose a cause first." in shown(page)


def test_a_cause_is_rehearsed_alone_and_beside_its_companions(page, knowledge):
    page.selectbox(key="rehearse_cause").select("trap_blocked")
    page.slider(key="rehearse_visits").set_value(1)
    press(page, "Rehearse")
    text = shown(page)
    assert f"{knowledge.causes['trap_blocked'].name}, alone." in text.replace("**", "")
    assert "First suspect in" in text
    assert "3 rehearsals, 3 visits" in text

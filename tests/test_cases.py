"""Stories told by the trade: each names what an experienced technician would suspect, and why.

`expect` in a case is that judgement, written before the engine was asked: the first suspect, a
cause among the first few, or that everything must stop.
"""

from pathlib import Path

import pytest

from engine.visit.consult import consult

CASES = sorted((Path(__file__).parent / "cases").glob("*.yaml"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_story_ends_as_the_trade_expects(knowledge, path):
    case, view = consult(knowledge, path)
    expected = dict(case.expect)

    assert case.story
    assert case.why
    if "status" in expected:
        assert view.status == expected.pop("status")
    if "cause" in expected:
        first = [suspect.cause for suspect in view.suspects]
        within = int(expected.pop("cause_in_first", 1))
        assert expected.pop("cause") in first[:within]
    assert not expected, f"not understood: {expected}"


def test_there_are_stories_of_every_kind_of_person(knowledge):
    cases = [consult(knowledge, path)[0] for path in CASES]

    assert {"technician", "caller"} <= {case.who for case in cases}
    assert any(case.expect.get("status") == "stop" for case in cases)

"""Complaints found by words: expected answers are what a person of the trade would hear."""

import pytest

from engine.visit.finding_words import nearest_complaints


@pytest.mark.parametrize(
    ("typed", "complaint"),
    [
        ("bangs when it starts", "hard_light_off"),
        ("I smell rotten eggs", "gas_smell"),
        ("the CO alarm went off", "co_alarm"),
        ("clicks and gives up", "locks_out_no_flame"),
        ("ligths, then goes out again after seconds", "flame_lost_after_lighting"),
        ("low microamps", "weak_flame_signal"),
        ("condensat leeks", "condensate_backs_up"),
        ("ice hanging on the intake", "recirculation_signs"),
        ("vibrates like a truck", "rumble_while_firing"),
        ("BLOCKED FLUE", "blocked_flue_trip"),
        ("burn mark on the case", "scorching"),
    ],
)
def test_a_callers_words_lead_to_the_complaint(knowledge, typed, complaint):
    assert nearest_complaints(knowledge, typed)[0].symptom == complaint


def test_every_saying_leads_to_its_own_complaint(knowledge):
    for name, symptom in knowledge.symptoms.items():
        for saying in symptom.caller_says:
            assert nearest_complaints(knowledge, saying)[0].symptom == name, saying


@pytest.mark.parametrize("typed", ["", "   ", "?!", "it is the boiler", "zzzz"])
def test_words_that_say_nothing_find_nothing(knowledge, typed):
    assert nearest_complaints(knowledge, typed) == ()


def test_no_more_are_named_than_asked_for(knowledge):
    assert len(nearest_complaints(knowledge, "pipe flame start smell", most=2)) == 2


def test_the_nearest_saying_is_quoted(knowledge):
    found = nearest_complaints(knowledge, "gurgles when it starts")[0]

    assert found.saying == "It gurgles or bubbles when it starts."

"""Words for the phone: short, whole, without the trade's own, and found again by what is said."""

import pytest

from engine.errors import Unusable
from engine.knowledge import load
from engine.knowledge.spoken import check_spoken
from engine.physics import CALCULATIONS
from engine.visit.finding_words import nearest_outcomes
from tests.small_knowledge import check, outcome
from tests.spoiling import copied, problems, says, spoil


def answered(*texts):
    """An outcome with what a caller says for it."""
    return outcome().model_copy(update={"caller_says": texts})


def spoken(entry):
    return [what for _, what, _ in check_spoken("checks", entry)]


def test_words_for_everybody_on_every_answer_are_in_order():
    assert spoken(check({"dry": answered("It is dry."), "wet": answered("It is wet.")})) == []


@pytest.mark.parametrize(("words", "wrong"), [(25, 0), (26, 2)])
def test_a_sentence_to_read_out_has_25_words_at_most(words, wrong):
    long = " ".join(["word"] * words)
    found = spoken(
        check({"dry": answered(long), "wet": answered("It is wet.")}, say=[long])
    )  # fmt: skip

    assert found == [f"a sentence of {words} words to read out"] * wrong


def test_what_no_caller_may_do_has_no_words_for_a_caller():
    licensed = check({"dry": answered("Dry."), "wet": answered("Wet.")}, say=["Look."])
    licensed = licensed.model_copy(update={"who": "technician"})

    assert len(spoken(licensed)) == 3


def test_an_answer_without_words_beside_others_and_twins_are_found():
    assert spoken(check({"dry": answered("It is dry."), "wet": outcome("hardly")})) == [
        "outcome 'wet' does not say how a caller would put it, others do"
    ]
    assert spoken(check({"dry": answered("It is so."), "wet": answered("it is so.")})) == [
        "a caller would put two of its outcomes in the same words"
    ]


def test_the_loader_says_where_a_sentence_is_too_long(tmp_path):
    folder = copied(tmp_path)
    spoil(folder, "water.yaml", "hot_tap_test", r"- It is hot and stays hot\.",
          f"- {' '.join(['hot'] * 26)}")  # fmt: skip

    with pytest.raises(Unusable) as caught:
        load(folder, CALCULATIONS)
    (problem,) = caught.value.problems
    assert "26 words" in str(problem)
    assert "water.yaml:" in str(problem)


def test_the_review_finds_missing_words_and_words_of_the_trade(tmp_path):
    folder = copied(tmp_path)
    spoil(folder, "water.yaml", "hot_tap_test", r"    say:\n(      - .*?\n)+", "")
    spoil(folder, "water.yaml", "bleed_radiator", r"Please switch", "Isolated? Then switch")
    spoil(folder, "symptoms.yaml", "gas_smell", r"      say: .*?\n", "")
    found = problems(folder)

    assert says(found, "hot_tap_test: no words to read out on the phone")
    assert says(found, "gas_smell: no words to ask for this danger")
    assert says(found, "bleed_radiator: a caller hears 'Isolated'")


@pytest.mark.parametrize(
    ("name", "said", "outcome"),
    [
        ("start_sequence", "it ticks and ticks but doesn't light", "spark_no_flame"),
        ("start_sequence", "it ticks but will not light", "spark_no_flame"),
        ("start_sequence", "a big bang", "bang"),
        ("leak_seen", "water on the floor underneath", "clear_water_at_boiler"),
        ("power_chain", "the fuse blows every time", "trips_again"),
        ("radiators_felt", "upstairs dosn't get warm", "some_cold"),
        ("radiators_felt", "stone cold all of them", "all_cold"),
        ("other_gas_appliances", "the gas stove works", "light_normally"),
        ("frost_signs", "icicles on the pipe, frozen", "frozen_around"),
        ("condensate_drip", "nothing dripping at all", "no_drip"),
    ],
)
def test_an_answer_is_found_by_what_the_caller_says(knowledge, name, said, outcome):
    assert nearest_outcomes(knowledge.checks[name], said)[0].outcome == outcome


def test_every_answer_is_found_by_its_own_words(knowledge):
    for name, entry in knowledge.checks.items():
        for key, value in entry.outcomes.items():
            for text in value.caller_says:
                found = nearest_outcomes(entry, text, most=len(entry.outcomes))
                top = [a.outcome for a in found if a.score >= found[0].score - 1e-9]
                danger_first = entry.outcomes[found[0].outcome].danger
                assert key in top or danger_first, (name, text, found)


def test_nothing_said_finds_nothing(knowledge):
    assert nearest_outcomes(knowledge.checks["start_sequence"], "") == ()
    assert nearest_outcomes(knowledge.checks["start_sequence"], "zzz qqq") == ()


def test_every_word_for_a_caller_belongs_to_what_a_caller_may_do(knowledge):
    for kind in ("checks", "actions", "closing", "access"):
        for name, entry in getattr(knowledge, kind).items():
            assert bool(entry.say) == (entry.who == "caller"), (kind, name)

"""The review reads the words: short steps, no tools for a caller, one spelling, no makers."""

import pytest

from tests.spoiling import copied, problems, says, spoil


@pytest.fixture
def folder(tmp_path):
    return copied(tmp_path)


def test_tools_in_the_hands_of_a_caller_are_found(folder):
    tools = ("screwdriver", "meter", "manometer", "analyser", "cover off")
    steps = "".join(f"      - Take the {tool} and look.\n" for tool in tools)
    spoil(
        folder, "air.yaml", "room_air_survey", r"    how:\n(      - .*?\n)+", f"    how:\n{steps}"
    )
    found = problems(folder)
    for tool in tools:
        assert says(found, f"room_air_survey: a caller is told of '{tool}'")


def test_a_caller_may_be_told_of_the_gas_meter(folder):
    spoil(folder, "air.yaml", "room_air_survey", r"(    how:\n)      - .*?\n",
          r"\1      - Stay away from the gas meter.\n")  # fmt: skip
    assert problems(folder) == ()


def test_a_tool_in_a_caution_for_a_caller_is_found(folder):
    spoil(folder, "cautions.yaml", "leave_at_gas_smell", "says: ", "says: Take the manometer. ")
    assert says(problems(folder), "other_gas_appliances", "manometer")


def test_a_hazard_that_only_the_words_give_away_is_found(folder):
    spoil(folder, "condensate.yaml", "clean_condensate_pump", "- Refit it, plug in,",
          "- Secure the ladder under the hose, refit it, plug in,")  # fmt: skip
    assert says(problems(folder), "clean_condensate_pump", "'ladder' is spoken of")


LONG = (
    ("vent.yaml", "vent_path_seen", "how"),
    ("vent.yaml", "clear_vent", "how"),
    ("access.yaml", "gas_shut", "open_how"),
    ("access.yaml", "cover_off", "close_how"),
    ("closing.yaml", "five_starts", "how"),
)


@pytest.mark.parametrize("words", [25, 26])
def test_a_step_of_more_than_25_words_is_found(folder, words):
    long = " ".join(["Turn"] * words)
    for file, entry, key in LONG:
        spoil(folder, file, entry, rf"    {key}:\n      - .*?\n", f"    {key}:\n      - {long}\n")
    found = problems(folder)
    for _, entry, _ in LONG:
        assert says(found, f"{entry}: a step of {words} words") == (words > 25)


def test_too_few_or_too_many_steps_are_found(folder):
    for file, entry, count in (("vent.yaml", "vent_path_seen", 2), ("vent.yaml", "clear_vent", 8),
                               ("air.yaml", "fan_wheel_seen", 8), ("air.yaml", "replace_fan", 2),
                               ("air.yaml", "intake_path_seen", 3),
                               ("air.yaml", "clean_fan_wheel", 7)):  # fmt: skip
        steps = "".join(f"      - Look at part {i}.\n" for i in range(count))
        spoil(folder, file, entry, r"    how:\n(      - .*?\n)+", f"    how:\n{steps}")
        assert says(problems(folder), f"{entry}: {count} steps") == (count in (2, 8))


def test_two_entries_of_one_name_are_found(folder):
    spoil(folder, "air.yaml", "fan_failing", "name: Fan failing", "name: vent BLOCKED")
    assert says(problems(folder), "vent_blocked: the same name as 'fan_failing'")


def test_two_outcomes_of_one_wording_are_found(folder):
    spoil(folder, "gas_supply.yaml", "other_gas_appliances", "says: None of them lights",
          "says: They burn weakly")  # fmt: skip
    assert says(problems(folder), "other_gas_appliances: two of its outcomes say the same")


def test_spelling_that_is_not_british_is_found(folder):
    words = ("color", "analyzer", "neutralizer", "fiber", "vapor", "odor")
    spoil(folder, "air.yaml", "fan_failing", "    mechanism: ",
          f"    mechanism: A {' and a '.join(words)}. ")  # fmt: skip
    found = problems(folder)
    for word in words:
        assert says(found, f"fan_failing: '{word}' is not British spelling")


def test_a_name_that_may_be_a_makers_is_found(folder):
    spoil(folder, "air.yaml", "fan_failing", "    mechanism: ",
          "    mechanism: Look at the Fantastico fan. A windy™ fan, too. ")  # fmt: skip
    found = problems(folder)
    assert says(found, "fan_failing: 'Fantastico' may name a maker")
    assert says(found, "fan_failing: '™' may name a maker")

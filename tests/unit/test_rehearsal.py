"""The knowledge rehearsed: what is put in comes out, and the words carry the numbers."""

import json
from dataclasses import replace

import pytest

from engine.__main__ import main
from engine.visit import rehearsal, rehearsal_words
from engine.visit.keeping import KNOWLEDGE_FOLDER
from engine.visit.rehearsal import Boiler, Rehearsed, every_cause, facts_for, follow, rehearse


def boiler(knowledge, cause, seed="a"):
    facts = facts_for(knowledge, cause)
    complaint = rehearsal.complaint_of(knowledge, cause)
    network = every_cause(knowledge, complaint, facts)
    return Boiler(knowledge, network, seed, {cause}, cause), complaint, facts


def test_a_boiler_answers_the_same_question_the_same_way_until_it_is_repaired(knowledge):
    one, *_ = boiler(knowledge, "trap_blocked")
    other, *_ = boiler(knowledge, "trap_blocked")
    assert [one.answer(c, 0) for c in ("trap_seen", "condensate_drip")] == [
        other.answer(c, 0) for c in ("trap_seen", "condensate_drip")
    ]


def test_answers_come_as_often_as_the_knowledge_says(knowledge):
    """Sludge almost always, 91 in 100, as a technician reports it; 400 boilers, 4 deviations."""
    word = knowledge.causes["trap_blocked"].shows["trap_seen"]["sludged"]
    check = knowledge.checks["trap_seen"]
    strays = [knowledge.probability(o.in_sound_boiler) for o in check.outcomes.values()
              if o.in_sound_boiler]  # fmt: skip
    sure = knowledge.probability(check.reliability.get("technician", "almost_always"))
    one, *_ = boiler(knowledge, "trap_blocked")
    seen = []
    for number in range(400):
        one.seed = f"boiler {number}"
        seen.append(one.answer("trap_seen", 0) == "sludged")
    expected = knowledge.probability(word)
    low = sure * expected - 4 * 0.025
    high = sure * (expected + sum(strays)) + (1 - sure) + 4 * 0.025
    assert low <= sum(seen) / len(seen) <= high


def test_a_repair_that_mends_the_cause_ends_the_visit_mended(knowledge):
    one, complaint, facts = boiler(knowledge, "trap_blocked")
    ended = follow(knowledge, one, complaint, facts)
    assert ended.end == "mended"
    assert one.complaint_gone()
    assert ended.minutes >= sum(knowledge.checks[c].minutes for c in ended.checks)


def test_a_cause_that_shows_nothing_is_not_found(knowledge):
    """The boiler is sound but for a fault that no check sees: nothing is ever proven mended."""
    one, complaint, facts = boiler(knowledge, "trap_blocked")
    one.faults = set()
    one.chief = "a_cause_of_no_file"
    one.starts_cleanly = lambda epoch: False
    ended = follow(knowledge, one, complaint, facts)
    assert ended.end in ("referred", "given_up")


def test_facts_fit_the_cause_and_its_companion(knowledge):
    assert facts_for(knowledge, "propane_tank_empty")["fuel"] == "propane"
    assert facts_for(knowledge, "glow_igniter_failed")["igniter_type"] == "glow"
    assert facts_for(knowledge, "glow_igniter_failed", "spark_electrode_worn") is None


def test_every_cause_is_rehearsed_that_a_visit_can_look_for(knowledge):
    alone = {cause for cause, beside in rehearsal.settings(knowledge) if not beside}
    dangers = {n for n, s in knowledge.symptoms.items() if s.danger}
    assert alone == {n for n, c in knowledge.causes.items() if set(c.seen_with) - dangers}
    for cause, beside in rehearsal.settings(knowledge):
        assert not beside or beside in knowledge.causes[cause].promotes


def test_commonest_causes_come_out_as_they_are_stated(knowledge):
    assert not list(rehearsal.out_of_order(knowledge))


def test_what_was_never_asked_is_told(knowledge):
    one = Rehearsed(
        "trap_blocked", "", "condensate_backs_up", 2, 0.5, 1.0, 0.0, 0.0, 60.0, ("trap_seen",)
    )
    never = rehearsal.never_asked(knowledge, [one])
    assert "trap_seen" not in never
    assert "igniter_seen" in never


def test_the_words_carry_the_numbers(knowledge):
    some = [
        Rehearsed(
            "trap_blocked", "", "condensate_backs_up", 2, 0.5, 1.0, 0.0, 0.0, 60.0, ("trap_seen",)
        ),
        Rehearsed("fan_failing", "", "fan_fault", 2, 1.0, 0.5, 0.5, 0.0, 100.0, ("fan_speed",)),
    ]
    said = rehearsal_words.sentences(knowledge, some)[0]
    assert said == (
        "2 rehearsals, 4 visits: the cause was the first suspect before the first repair in 75 %, "
        "and mended in 75 %, in 80 minutes."
    )
    text = rehearsal_words.as_text(knowledge, some, whole=True)
    assert text.index("Fan failing") < text.index("Trap blocked")  # the hardest first
    assert "Never worth their minutes" in text
    assert rehearsal_words.sentences(knowledge, []) == ()


def test_the_command_prints_the_rehearsals_of_the_causes_named(capsys):
    assert main(["review", "--rehearse", "1", "--causes", "trap_blocked", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert {row["cause"] for row in rows} == {"trap_blocked"}
    assert rows[0]["beside"] == ""
    assert main(["review", "--rehearse", "1", "--causes", "no_such"]) == 2
    assert "no cause 'no_such'" in capsys.readouterr().err


def test_two_processes_come_to_the_same_as_one():
    visits = 1
    folder, settings = KNOWLEDGE_FOLDER, [("trap_blocked", ""), ("fan_failing", "")]
    one = list(rehearsal_words.rehearsed(folder, settings, visits))
    assert one == list(rehearsal_words.rehearsed(folder, settings, visits, jobs=2))


def test_a_rehearsal_is_the_mean_of_its_visits(knowledge):
    done = rehearse(knowledge, "trap_blocked", visits=2)
    ends = []
    for number in range(2):
        one, complaint, facts = boiler(knowledge, "trap_blocked", f"trap_blocked  {number}")
        ends.append(follow(knowledge, one, complaint, facts))
    assert done.minutes == pytest.approx(sum(e.minutes for e in ends) / 2)
    assert done.mended == sum(e.end == "mended" for e in ends) / 2


def test_a_cause_that_is_believed_less_likely_than_it_is_stated_is_told(knowledge):
    """With many companions it is hardly ever one of two causes, which is all that is looked at."""
    seen = [n for n, c in knowledge.causes.items() if "condensate_backs_up" in c.seen_with]
    companions = [name for name in seen if name != "trap_blocked"]
    common = {
        name: knowledge.causes[name].model_copy(update={"standing": "often"}) for name in companions
    }
    promoting = knowledge.causes["trap_blocked"].model_copy(
        update={"promotes": dict.fromkeys(companions, "much_more")}
    )
    changed = replace(knowledge, causes=knowledge.causes | common | {"trap_blocked": promoting})

    told = {(symptom, cause) for symptom, cause, _ in rehearsal.out_of_order(changed)}
    assert ("condensate_backs_up", "trap_blocked") in told

"""Whole visits in a browser, as they happen: on a phone, with a meter in the other hand."""

from engine.visit import events as happened
from tests.browser.walking import begins, boiler_with, walk


def test_lockout_on_site_to_a_proven_repair(anna, knowledge, events_of, tmp_path):
    boiler = boiler_with(knowledge, "locks_out_no_flame", "burner_earth_poor")
    begins(anna, knowledge, "Technician with a gas licence", "locks_out_no_flame")
    walk(anna, boiler)
    anna.sees("Everything is proven. Close the visit.")

    anna.presses("End the visit")
    anna.chooses("Mended and proven")
    anna.presses("Close the visit")
    anna.sees("Open it again")
    sheet = anna.saves("Save the job sheet", tmp_path)

    *_, repair, closed = (
        e for e in events_of(anna.visit) if isinstance(e, happened.ActionDone | happened.Closed)
    )
    assert closed.end == "mended_and_proven"
    assert repair.action in knowledge.causes["burner_earth_poor"].mended_by
    assert boiler.complaint_gone()
    assert sheet.stat().st_size > 500
    assert {host.partition(":")[0] for host in anna.runs.hosts} == {"localhost"}


def test_two_people_answer_one_step_and_nothing_is_lost_in_silence(
    somebody, begun, events_of, knowledge
):
    visit = begun(complaint="flame_lost_after_lighting")
    anna, ben = somebody(), somebody()
    for person in (anna, ben):
        person.opens_visit(visit)
    assert anna.step == ben.step
    check = next(c for c in knowledge.checks.values() if c.name == anna.step)
    first, second = list(check.outcomes)[:2]

    anna.answers(check, second)
    ben.answers(check, first)

    answered = [e for e in events_of(visit) if isinstance(e, happened.Found)]
    assert [e.outcome for e in answered] == [second]
    ben.sees("Meanwhile this was entered elsewhere")
    ben.sees("Your last tap was not stored.")
    assert ben.step == anna.step

    ben.answers(*_any_answer(knowledge, ben.step))
    ben.does_not_see("Meanwhile this was entered elsewhere")
    anna.unfolds("Write a note")
    anna.writes("Note", "the cellar is wet")
    anna.sees("Meanwhile this was entered elsewhere")
    anna.does_not_see("Your last tap was not stored.")
    anna.unfolds("Write a note")
    anna.presses("Keep the note")
    assert anna.step == ben.step
    assert events_of(visit)[-1] == happened.Noted(text="the cellar is wet")


def test_a_danger_tapped_on_an_overtaken_screen_stops_the_visit(
    somebody, begun, events_of, knowledge
):
    name, check = next(
        (n, c) for n, c in knowledge.checks.items()
        if c.reading is None and not c.derived and any(o.danger for o in c.outcomes.values())
    )  # fmt: skip
    danger = next(n for n, o in check.outcomes.items() if o.danger)
    visit = begun()
    anna, ben = somebody(), somebody()
    for person in (anna, ben):
        person.opens(f"visit?visit={visit}&step=check.{name}")
        assert person.step == check.name

    anna.answers(check, check.healthy)
    ben.answers(check, danger)

    ben.sees("STOP")
    outcomes = [e.outcome for e in events_of(visit) if isinstance(e, happened.Found)]
    assert outcomes == [check.healthy, danger]
    anna.unfolds("Write a note")
    anna.writes("Note", "still here")
    anna.sees("STOP")


def _any_answer(knowledge, step):
    check = next(c for c in knowledge.checks.values() if c.name == step)
    return check, next(iter(check.outcomes))

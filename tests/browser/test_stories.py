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
    hosts = anna.runs.hosts
    assert hosts and all(h.startswith("localhost:") for h in hosts), hosts

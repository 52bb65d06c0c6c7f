"""A visit looked at again: each moment is what a fresh look at the events up to there would say."""

import pytest

from engine import explain
from engine.errors import NotAllowed, OutOfRange
from engine.visit import events as happened
from engine.visit import replay as replaying
from engine.visit.reasons import why
from engine.visit.replay import Replay, other_knowledge
from engine.visit.replay_words import AS_ADVISED, MENDED, NONE_OF_THESE, Row
from engine.visit.state import fold
from engine.visit.told import minutes_spent, told
from engine.visit.view import look

FUEL = happened.FactStated(fact="fuel", value="natural_gas")
LOST = happened.SymptomReported(symptom="flame_lost_after_lighting")
SMELL = happened.SymptomReported(symptom="gas_smell")
COATED = happened.Found(check="flame_rod_seen", outcome="coated")
CLEANED = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")
FIRST_STEP = 4
"""Number of the first event after opening, fuel and complaint."""


@pytest.fixture
def replayed(after, knowledge):
    """A stored visit with these events after fuel and complaint, and its replay."""

    def made(*events, **more):
        visit = after(FUEL, LOST, *events, **more)
        return visit, Replay(knowledge, visit.id, visit.history)

    return made


def advised(knowledge, visit):
    """An answer to the check that is advised where a visit stands."""
    assert visit.view.next.kind == "check"
    name = visit.view.next.id
    return happened.Found(check=name, outcome=knowledge.checks[name].healthy)


# ------------------------------------------------------------------ what was believed


def test_every_moment_believes_what_a_fresh_look_at_its_history_does(replayed, knowledge):
    visit, replay = replayed(
        COATED, happened.Noted(text="rod kept"), happened.TakenBack(event=FIRST_STEP), COATED,
        CLEANED,
    )  # fmt: skip

    assert len(replay.headings) == 6
    for number in range(1, 7):
        end = FIRST_STEP - 2 + number
        fresh = look(knowledge, fold(knowledge, visit.history[:end]))
        moment = replay.at(number)
        assert moment.after == fresh
        if number > 1:
            earlier = look(knowledge, fold(knowledge, visit.history[: end - 1]))
            assert moment.before == earlier
            assert moment.advice.headline == earlier.headline


def test_the_rows_are_the_first_five_before_and_after_with_their_probabilities(replayed, knowledge):
    _, replay = replayed(COATED)
    moment = replay.at(2)
    before, after = (
        dict(explain.suspects(view.thought.belief)) for view in (moment.before, moment.after)
    )
    named = {s.cause for view in (moment.before, moment.after) for s in view.suspects[:5]}

    *listed, nobody = moment.rows
    assert len(listed) == len(named) > 5
    assert {row.name for row in listed} == {knowledge.causes[c].name for c in named}
    by_name = {knowledge.causes[c].name: c for c in named}
    for row in listed:
        assert row.before == before[by_name[row.name]]
        assert row.after == after[by_name[row.name]]
    assert [row.name for row in listed[:5]] == [s.name for s in moment.after.suspects[:5]]
    assert nobody == Row(NONE_OF_THESE, moment.before.none_of_these, moment.after.none_of_these)


def test_a_row_says_which_way_it_went_as_people_count():
    assert Row("a", 0.1, 0.5).line() == "likely (50 in 100), up from less likely (10 in 100)"
    assert Row("a", 0.5, 0.1).line() == "less likely (10 in 100), down from likely (50 in 100)"
    assert Row("a", 0.501, 0.502).line() == "likely (50 in 100), as before"
    assert Row("a", None, 0.5).line() == "likely (50 in 100)"
    assert Row("a", 0.5, None).line() == "no longer weighed, before: likely (50 in 100)"


def test_after_a_repair_it_is_followed_whether_it_is_mended(replayed):
    _, replay = replayed(COATED, CLEANED)

    assert MENDED not in [row.name for row in replay.at(2).rows]
    mended = replay.at(3).rows[-1]
    assert mended.name == MENDED
    assert mended.after == replay.at(3).after.mended > mended.before


# ------------------------------------------------------------------ the moments


def test_what_is_entered_before_the_first_step_is_one_moment(replayed):
    _, replay = replayed(COATED)

    assert [heading.number for heading in replay.headings] == [1, 2]
    assert [entry.kind for entry in replay.headings[0].entries] == ["Begun", "Boiler", "Complaint"]
    assert replay.headings[0].line() == "Begun: Flame lights and is lost"
    assert replay.at(1).advice is None
    assert replay.at(1).before is None


def test_the_words_are_those_of_the_visit(replayed, knowledge):
    visit, replay = replayed(COATED, CLEANED, happened.Noted(text="rod kept"))
    entries = {e.number: (e.kind, e.text) for h in replay.headings for e in h.entries[-1:]}

    for entry in told(knowledge, visit)[:3]:
        assert entries[entry.number] == (entry.kind, entry.text)


def test_what_is_taken_back_stays_as_a_moment_and_says_when_it_went(replayed):
    _, replay = replayed(COATED, happened.TakenBack(event=FIRST_STEP))
    (found,), (gone,) = (heading.entries for heading in replay.headings[1:])

    assert found.kind == "Found"
    assert found.taken_back == 3
    assert found.line().endswith("(taken back later, in moment 3)")
    assert (gone.kind, gone.text) == ("Taken back", f"Found: {found.text}")
    assert gone.taken_back is None
    assert replay.at(3).after == replay.at(1).after
    assert replay.at(2).after != replay.at(1).after


def test_what_is_put_back_counts_again(replayed):
    _, replay = replayed(
        COATED, happened.TakenBack(event=FIRST_STEP), happened.TakenBack(event=FIRST_STEP + 1)
    )
    _, (found,), (gone,), (back,) = (heading.entries for heading in replay.headings)

    assert found.taken_back is None
    assert gone.taken_back == 4
    assert (back.kind, back.text) == ("Put back", f"Found: {found.text}")
    assert replay.at(4).after == replay.at(2).after


def test_a_taken_back_entry_of_the_beginning_is_marked_there(replayed):
    _, replay = replayed(COATED, happened.TakenBack(event=2))
    boiler = next(e for e in replay.headings[0].entries if e.kind == "Boiler")

    assert boiler.taken_back == 3


def test_the_minutes_are_those_of_the_visit_up_to_there(replayed, knowledge):
    visit, replay = replayed(COATED, CLEANED)

    assert replay.at(1).minutes == 0.0
    assert 0.0 < replay.at(2).minutes < replay.at(3).minutes == minutes_spent(knowledge, visit)


def test_only_moments_that_are_looked_at_are_worked_out(replayed, monkeypatch):
    _, replay = replayed(COATED, CLEANED, happened.Noted(text="a"), happened.Noted(text="b"))
    looked = []
    monkeypatch.setattr(
        replaying, "look", lambda known, state: looked.append(state) or look(known, state)
    )

    replay.at(3)
    assert len(looked) == 2
    replay.at(4)
    assert len(looked) == 3
    replay.at(3)
    assert len(looked) == 3


@pytest.mark.parametrize("number", [0, -1, 3, 10**6])
def test_a_moment_that_is_none_is_refused_with_how_many_there_are(replayed, number):
    _, replay = replayed(COATED)

    with pytest.raises(OutOfRange, match="this visit has 2, from 1 on"):
        replay.at(number)


def test_a_visit_that_is_only_opened_has_one_moment_without_suspects(after, knowledge):
    visit = after()
    replay = Replay(knowledge, visit.id, visit.history)

    assert replay.headings[0].line() == "Begun: no complaint yet"
    assert replay.at(1).rows == ()


# ------------------------------------------------------------------ against the advice


def test_what_was_advised_and_done_is_called_so(replayed, knowledge, after):
    answer = advised(knowledge, after(FUEL, LOST))
    _, replay = replayed(answer)

    assert replay.at(2).advice.compared == (AS_ADVISED,)


def test_what_was_done_instead_is_named_with_what_it_cost(replayed, knowledge, after):
    assert after(FUEL, LOST).view.next.id != "flame_rod_seen"
    _, replay = replayed(COATED)
    said, costs = replay.at(2).advice.compared

    assert said == f"Done instead: {knowledge.checks['flame_rod_seen'].name}."
    assert costs.startswith("In all it costs")
    assert knowledge.checks[replay.at(2).before.next.id].name in costs


def test_the_reasons_of_the_advice_are_those_that_the_visit_gave(replayed, knowledge, after):
    begun = after(FUEL, LOST)
    _, replay = replayed(COATED)

    assert replay.at(2).advice.why == why(knowledge, begun, begun.view.next)


@pytest.mark.parametrize(
    ("which", "words"),
    [("advised", "The advised step was set aside."), ("other", "Another step was set aside.")],
)
def test_a_step_set_aside_is_told(replayed, after, which, words):
    step = after(FUEL, LOST).view.next.id if which == "advised" else "flame_rod_seen"
    _, replay = replayed(happened.Skipped(step=step, reason="no ladder"))

    assert replay.at(2).advice.compared == (words,)
    assert replay.at(2).heading.entries[0].text.endswith(": no ladder")


def test_an_answer_given_anew_is_no_other_step(replayed, knowledge):
    clean = knowledge.checks["flame_rod_seen"].healthy
    _, replay = replayed(COATED, happened.Found(check="flame_rod_seen", outcome=clean))

    assert replay.at(3).advice.compared == ("An earlier answer was given anew.",)


def test_a_note_is_no_step(replayed):
    _, replay = replayed(happened.Noted(text="dog in the yard"))

    assert replay.at(2).advice.compared == ()


def test_the_meaning_of_an_answer_stands_in_what_changed(replayed, knowledge):
    _, replay = replayed(COATED)

    assert replay.at(2).changed[0] == knowledge.checks["flame_rod_seen"].outcomes["coated"].means
    assert any(line.startswith("Newly open or running:") for line in replay.at(2).changed)
    assert any("Flame rod coated" in line for line in replay.at(2).changed)


# ------------------------------------------------------------------ danger, others, the end


def test_a_danger_sign_stops_the_replay_as_it_stopped_the_visit(replayed, knowledge):
    _, replay = replayed(COATED, SMELL, happened.Closed(end="stopped_for_danger"))
    stopped, closed = replay.at(3), replay.at(4)
    danger = knowledge.symptoms["gas_smell"].danger

    assert "Danger sign: Smell of gas. The visit stops, and nothing is weighed." in stopped.changed
    assert all(row.after is None for row in stopped.rows)
    assert closed.advice.stops
    assert closed.advice.headline == "Stop: Smell of gas"
    assert closed.advice.cautions == (*danger.advice, *danger.do_not)
    assert closed.advice.why == (f"Who acts: {danger.who_acts}",)
    assert closed.advice.compared == (AS_ADVISED,)
    assert closed.rows == ()


def test_a_danger_sign_taken_back_stands_no_longer(replayed):
    _, replay = replayed(SMELL, happened.TakenBack(event=FIRST_STEP))

    assert len(replay.headings) == 2  # the sign came before any step
    assert "The danger sign 'Smell of gas' stands no longer." in replay.at(2).changed
    assert replay.at(1).rows == ()
    assert all(row.before is None and row.after is not None for row in replay.at(2).rows)


def test_after_a_hand_over_the_advice_is_for_who_goes_on(replayed, knowledge):
    visit, replay = replayed(happened.HandedOver(who="technician"), who="caller")

    assert knowledge.checks[replay.at(1).after.next.id].who == "caller"
    assert replay.at(2).heading.entries[0].kind == "Handed over"
    assert replay.at(2).after.thought.belief.weights == pytest.approx(
        replay.at(1).after.thought.belief.weights
    )
    assert replay.at(2).after == visit.view


def test_a_closed_visit_ends_with_how_it_ended(replayed):
    _, replay = replayed(happened.Closed(end="made_safe_and_referred", words="to Ann"))

    last = replay.at(2)
    assert last.heading.line() == "Closed: Made safe and referred (to Ann)"
    assert last.after.status == "closed"
    assert last.advice.compared == ("The visit was ended instead of going on.",)


# ------------------------------------------------------------------ other knowledge


def test_a_visit_that_names_what_is_not_known_here_is_refused_in_a_sentence(replayed, knowledge):
    visit, _ = replayed(COATED)
    strange = (5, happened.Skipped(step="no_such_check"))
    back = (6, happened.TakenBack(event=5))

    with pytest.raises(NotAllowed, match="kept with other knowledge"):
        Replay(knowledge, visit.id, (*visit.history, strange, back))


def test_a_visit_begun_with_another_version_says_whose_advice_it_shows(store, knowledge, replayed):
    visit, _ = replayed(COATED)
    older = store.begin("older", "000000000000")

    assert other_knowledge(store, knowledge, visit.id) == ""
    assert "another version of the knowledge" in other_knowledge(store, knowledge, older)

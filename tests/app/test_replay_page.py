"""The replay on the screen: one moment at a time, by the address, for open and closed visits."""

import pytest

from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.replay import Replay
from tests.app.pages import press, shown, unescaped

COATED = happened.Found(check="flame_rod_seen", outcome="coated")
CLEANED = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")
ADVICE = "What was advised here, and why"


@pytest.fixture
def page(begun, open_page):
    """The replay of a fresh visit at a moment of the address, and the visit's number."""

    def opened(*events, moment=None, hide=None, **more):
        visit = begun(*events, **more)
        app = open_page("replay", visit)
        for name, value in (("moment", moment), ("hide", hide)):
            if value is not None:
                app.query_params[name] = value
        return app.run(), visit

    return opened


def moment_shown(app):
    return next(m.value for m in app.markdown if m.value.startswith("**Moment"))


def button(app, label):
    return next(b for b in app.button if b.label == label)


def folded(app):
    """Whether the advice is folded away."""
    (advice,) = [e for e in app.expander if e.label == ADVICE]
    return not advice.proto.expanded


# ------------------------------------------------------------------ turning


def test_a_replay_begins_with_the_first_moment(page):
    app, _ = page(COATED, CLEANED)

    assert not app.exception
    assert moment_shown(app).startswith("**Moment 1 of 3.**")
    assert "**Complaint.** Flame lights and is lost" in shown(app)
    assert button(app, "Earlier").disabled
    assert button(app, "First").disabled
    assert ADVICE not in [e.label for e in app.expander]


def test_later_and_earlier_turn_and_stand_in_the_address(page):
    app, _ = page(COATED, CLEANED)

    app = press(app, "Later")
    assert app.query_params["moment"] == "2"
    assert moment_shown(app).startswith("**Moment 2 of 3.**")
    app = press(press(app, "Last"), "Earlier")
    assert app.query_params["moment"] == "2"
    app = press(press(app, "Last"), "First")
    assert app.query_params["moment"] == "1"
    app = press(app, "Last")
    assert button(app, "Later").disabled
    assert button(app, "Last").disabled


def test_every_moment_can_be_jumped_to_from_the_list(page, store, knowledge):
    app, visit = page(COATED, CLEANED)
    kept = keeping.read(store, knowledge, visit)
    headings = Replay(knowledge, visit, kept.history).headings
    labels = [unescaped(b.label) for b in app.button if (b.key or "").startswith("replay_to_")]

    assert labels[0] == f"1. {headings[0].line()} (here)"
    assert labels[1:] == [f"{h.number}. {h.line()}" for h in headings[1:]]
    app = app.button(key="replay_to_3").click().run()
    assert moment_shown(app).startswith("**Moment 3 of 3.**")


def test_the_arrow_keys_turn(page):
    app, _ = page(COATED)

    assert button(app, "Earlier").proto.shortcut.lower() == "left"
    assert button(app, "Later").proto.shortcut.lower() == "right"


# ------------------------------------------------------------------ what stands there


def test_what_happened_stands_before_the_advice_with_its_reasons(page, store, knowledge):
    app, visit = page(COATED, moment="2")
    history = keeping.read(store, knowledge, visit).history
    moment = Replay(knowledge, visit, history).at(2)
    text = shown(app)

    assert moment.advice.headline in text
    for line in (*moment.advice.why, *moment.advice.compared, *moment.changed):
        assert line in text
    assert text.index("White, glassy or scaly film") < text.index(moment.advice.headline)
    assert app.header[0].value == "What happened"


def test_the_suspects_are_written_with_before_and_after(page, store, knowledge):
    app, visit = page(COATED, moment="2")
    history = keeping.read(store, knowledge, visit).history
    moment = Replay(knowledge, visit, history).at(2)
    (bars,) = [h.proto.body for h in app.get("html") if "replay_row" in h.proto.body]

    for row in moment.rows:
        assert f"<strong>{row.name}</strong>: {row.line()}" in bars
    first = moment.rows[0]
    assert f"width: {100 * first.before:.1f}%" in bars
    assert f"width: {100 * first.after:.1f}%" in bars


def test_the_advice_can_be_hidden_until_asked_for_and_stays_so(page):
    app, _ = page(COATED, CLEANED, moment="2")
    assert not folded(app)

    app = app.toggle(key="replay_hide").set_value(True).run()
    assert folded(app)
    assert "What would you do next?" in shown(app)
    assert app.query_params["hide"] == "yes"
    app = press(app, "Later")
    assert folded(app)


def test_hiding_stands_in_the_address(page):
    app, _ = page(COATED, moment="2", hide="yes")

    assert folded(app)


def test_what_was_taken_back_says_so(page):
    app, _ = page(COATED, happened.TakenBack(event=3), moment="2")

    assert "Taken back later, in moment 3" in app.warning[-1].value
    assert "**Taken back.** Found: Take the flame rod out and look" in shown(press(app, "Later"))


def test_where_a_danger_sign_came_up_it_says_what_was_said_at_once(page, knowledge):
    app, _ = page(COATED, happened.SymptomReported(symptom="gas_smell"), moment="3")
    danger = knowledge.symptoms["gas_smell"].danger
    said = unescaped(app.error[0].value)

    assert said.startswith("**Stop: Smell of gas**")
    for line in (*danger.advice, *danger.do_not, danger.who_acts):
        assert line in said


def test_a_danger_is_never_hidden(page, knowledge):
    app, _ = page(
        COATED, happened.SymptomReported(symptom="gas_smell"),
        happened.Closed(end="stopped_for_danger"), moment="4", hide="yes",
    )  # fmt: skip

    assert not app.exception
    assert not folded(app)
    assert "Stop: Smell of gas" in shown(app)
    assert knowledge.symptoms["gas_smell"].danger.advice[0].partition(". ")[0] in shown(app)
    assert "No suspects are weighed here." in shown(app)


# ------------------------------------------------------------------ the way there


def test_closed_and_open_visits_are_linked_from_the_list(begun, open_page, store, knowledge):
    begun()
    closed = begun()
    keeping.record(store, knowledge, closed, happened.Closed(end="no_listed_cause"))
    links = [x.proto for x in open_page("visits").get("page_link") if x.proto.label == "Replay it"]

    assert [link.query_string for link in links] == ["visit=2", "visit=1"]


def test_a_visit_of_another_version_has_no_replay_in_the_list(open_page, store, knowledge):
    visit = store.begin("", knowledge.version)
    store.append(visit, {"kind": "an_event_of_tomorrow"})

    labels = [x.proto.label for x in open_page("visits").get("page_link")]
    assert "Look at it" in labels
    assert "Replay it" not in labels


def test_the_end_leads_to_the_replay_and_back(begun, open_page, store, knowledge):
    visit = begun(COATED)
    link = next(x for x in open_page("ending", visit).get("page_link")
                if x.proto.label == "Replay it")  # fmt: skip
    assert link.proto.page == "replay"
    back = [x.proto.label for x in open_page("replay", visit).get("page_link")]
    assert "Back to the visit" in back
    ended = begun()
    keeping.record(store, knowledge, ended, happened.Closed(end="no_listed_cause"))
    back = [x.proto.label for x in open_page("replay", ended).get("page_link")]
    assert "Back to the end of the visit" in back


# ------------------------------------------------------------------ what can go wrong


@pytest.mark.parametrize("moment", ["0", "99", "-1", "abc", "٣", "1 or 1=1", "9" * 40])
def test_a_moment_that_is_none_is_explained_with_ways_on(page, moment):
    app, visit = page(COATED, moment=moment)

    assert not app.exception
    assert "from 1 on" in app.error[0].value
    links = {x.proto.label: x.proto.query_string for x in app.get("page_link")}
    assert links["To the first moment"] == f"visit={visit}&moment=1"
    assert links["To the last moment"] == f"visit={visit}&moment=2"


@pytest.mark.parametrize("number", [None, "", "abc", "-1", "9999"])
def test_a_visit_that_is_none_is_explained_with_ways_on(open_page, number):
    app = open_page("replay", number)

    assert not app.exception
    assert app.title[0].value == "No visit here"
    assert "Look at earlier visits" in [x.proto.label for x in app.get("page_link")]


@pytest.mark.parametrize("taken_back", [False, True])
def test_a_visit_kept_with_other_knowledge_is_explained_with_a_way_on(
    open_page, begun, store, taken_back
):
    visit = begun()
    store.append(visit, {"kind": "found", "check": "no_such_check", "outcome": "seen"})
    if taken_back:
        store.append(visit, {"kind": "taken_back", "event": 3})
    app = open_page("replay", visit)

    assert not app.exception
    assert "kept with other knowledge than this" in app.error[0].value
    assert "Look at earlier visits" in [x.proto.label for x in app.get("page_link")]


def test_a_visit_begun_with_another_version_says_whose_advice_it_shows(open_page, store):
    visit = store.begin("", "000000000000")
    store.append(visit, {"kind": "opened", "who": "technician"})
    store.append(visit, {"kind": "symptom_reported", "symptom": "flame_lost_after_lighting"})
    app = open_page("replay", visit)

    assert "begun with another version of the knowledge" in app.info[0].value

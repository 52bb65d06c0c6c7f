"""The phone desk: from the first ring to a cure, a booked visit or a house that is left."""

import pytest

from engine.records.cards import add_boiler, add_customer
from engine.visit import calls, keeping
from engine.visit import events as happened
from engine.visit.preferences import Preferences, keep
from tests.app.pages import press, shown, unfold


@pytest.fixture
def dark(knowledge):
    """A complaint that a switch may cure, and the switch."""
    cause = next(n for n, c in knowledge.causes.items() if "switch_power_on" in c.mended_by)
    return next(iter(knowledge.causes[cause].seen_with))


@pytest.fixture
def call(store, knowledge):
    """A call at the desk, with further events; its number."""

    def taken(*events, name="Ann Example", complaint="locks_out_no_flame", **more):
        number = calls.take_call(store, knowledge, calls.Caller(name, **more), [complaint])
        for event in events:
            keeping.record(store, knowledge, number, event)
        return number

    return taken


def new_call(open_page, name="Ann Example", phone="555 0100", address="Mill Lane 4"):
    app = press(open_page("desk"), "New call")
    for key, text in (("new_name", name), ("new_phone", phone), ("new_address", address)):
        app.text_input(key=key).input(text)
    return app.run()


def button(app, *words):
    """The first button whose label holds all the words."""
    return next(b for b in app.button if all(word in b.label for word in words))


def at(app):
    """The call number in the address."""
    number = app.query_params["visit"]
    return number if isinstance(number, str) else number[0]


def complain(app, knowledge, symptom):
    app = press(app, "No to all of these")
    app.text_input(key="desk_new_words").input(knowledge.symptoms[symptom].caller_says[0]).run()
    return button(app, f"**{knowledge.symptoms[symptom].name}**").click().run()


# ------------------------------------------------------------------ empty, and not found


def test_a_desk_without_calls_says_how_to_begin(open_page):
    app = open_page("desk")

    assert not app.exception
    assert "No call yet." in shown(app)


@pytest.mark.parametrize("number", ["9999", "abc", "1 or 1=1", "٣"])
def test_an_unknown_number_is_said_and_the_calls_stay(open_page, call, number):
    call()
    app = open_page("desk", number)

    assert not app.exception
    assert len(app.error) == 1
    assert "Ann Example" in shown(app)


# ------------------------------------------------------------------ a new call


def test_danger_ends_a_new_call_at_once(open_page, store, knowledge, events_of):
    keep(store, Preferences(emergency="fire 000, gas 111"))
    app = new_call(open_page)
    app = button(app, "Do you smell gas", "Smell of gas").click().run()

    assert app.title[1].value.startswith("STOP")
    text = shown(app)
    for advice in knowledge.symptoms["gas_smell"].danger.advice:
        assert f"“{advice}”" in text
    assert "fire 000, gas 111" in text
    assert not [b for b in app.button if b.label == "The caller has done it"]
    press(app, "It is said: close the call as stopped for danger")
    (number,) = [c.id for c in calls.calls(store, lambda _: calls.Standing(calls.OPEN, ""))]
    assert events_of(number)[-1].end == "stopped_for_danger"
    assert calls.caller_of(store, store.visit(number)).name == "Ann Example"


def test_without_numbers_the_desk_says_where_to_keep_them(open_page, call):
    app = open_page("desk", call(complaint="gas_smell", name=""))

    assert "under Settings" in shown(app)


def test_danger_during_a_call_is_one_tap_away(open_page, call):
    app = open_page("desk", call())
    app = app.button(key="danger_co_alarm").click().run()

    assert app.title[1].value.startswith("STOP")


def test_a_safe_act_cures_and_the_call_ends_proven(open_page, store, knowledge, events_of, dark):
    app = complain(new_call(open_page), knowledge, dark)
    number = store.visits()[0].id
    keeping.record(
        store, knowledge, number, happened.Found(check="power_chain", outcome="no_power")
    )
    app = open_page("desk", number)
    unfold(app, "Other steps")
    app = button(app, knowledge.actions["switch_power_on"].name).click().run()
    assert "“Push the plug in fully and switch the boiler on at its own switch.”" in shown(app)
    app = press(app, "The caller has done it")
    for _ in range(6):
        if any(b.label.startswith("Close the call") for b in app.button):
            break
        step = keeping.read(store, knowledge, number).view.next
        closing = knowledge.closing[step.id]
        if closing.check:
            app = press(app, knowledge.checks[closing.check].outcomes[closing.passes[0]].says)
        else:
            app.text_input(key=next(
                t.key for t in app.text_input if t.label.startswith("What the caller says")
            )).input("It runs, and it gets warm.")  # fmt: skip
            app = press(app.run(), "It holds")
    press(app, "Close the call: mended and proven")

    assert events_of(number)[-1].end == "mended_and_proven"


def test_a_known_customer_is_found_while_typing_with_the_boiler(open_page, store, knowledge):
    ben = add_customer(store, "Ben Example", "Hill Road 9", "555 0111")
    add_boiler(store, "cellar", sheet={"fuel": "propane", "no_such_fact": "x"}, customer=ben)
    app = new_call(open_page, "Ben", "", "")
    app = button(app, "Ben Example").click().run()
    complain(app, knowledge, "locks_out_no_flame")
    stored = store.visits()[0]

    assert stored.customer == ben
    assert stored.boiler is not None
    assert keeping.read(store, knowledge, stored.id).state.facts["fuel"] == "propane"


# ------------------------------------------------------------------ the call


def test_every_answer_is_in_the_callers_words(open_page, call, store, knowledge):
    number = call()
    app = open_page("desk", number)
    step = keeping.read(store, knowledge, number).view.next
    check = knowledge.checks[step.id]

    assert step.kind == "check"
    assert check.who == "caller"
    for sentence in check.say:
        assert f"“{sentence}”" in shown(app)
    for outcome in check.outcomes.values():
        assert button(app, outcome.caller_says[0])


def test_what_the_caller_says_is_matched_kept_and_confirmed(open_page, call, store, events_of):
    number = call()
    app = open_page("desk", number)
    app.query_params["step"] = "check.start_sequence"
    app.run()
    field = next(t for t in app.text_input if t.label.startswith("Or type what"))
    field.input("it ticks and ticks but doesn't light").run()
    assert len(events_of(number)) == 2  # nothing is entered before the tap
    near = next(b for b in app.button if "_near_" in (b.key or ""))
    near.click().run()
    *_, note, found = events_of(number)

    assert found.outcome == "spark_no_flame"
    assert "it ticks and ticks but doesn't light" in note.text


def test_two_calls_side_by_side_do_not_mix(open_page, call, events_of):
    ann = call()
    bob = call(name="Bob Example", complaint="flame_lost_after_lighting")
    app = open_page("desk", ann)
    before = len(events_of(ann))
    app = button(app, "Bob Example").click().run()
    assert at(app) == str(bob)
    assert "Visit " + str(bob) in shown(app)
    first = next(b for b in app.button if (b.key or "").startswith(f"desk_{bob}_"))
    first.click().run()

    assert len(events_of(bob)) == 3
    assert len(events_of(ann)) == before
    app = button(app, "Ann Example").click().run()
    assert at(app) == str(ann)
    assert not [b for b in app.button if (b.key or "").startswith(f"desk_{bob}_")]


def test_a_booked_visit_carries_parts_and_the_callers_answers(
    open_page, call, store, knowledge, events_of
):
    number = call(happened.Found(check="start_sequence", outcome="spark_no_flame"))
    app = open_page("desk", number)
    chosen = next(m for m in app.multiselect if m.key.startswith("parts_"))
    before = shown(app)
    chosen.set_value([]).run()
    assert "No parts:" not in before
    assert "No parts" not in before
    chosen = next(m for m in app.multiselect if m.key.startswith("parts_"))
    assert chosen.value == []
    spark = next(o for o in chosen.options if o.endswith("Spark igniter"))
    chosen.select(spark).run()
    app.text_area(key=f"book_words_{number}").input("Tuesday morning")
    app = press(app, "Book the visit")
    booked = events_of(number)[-1]

    assert booked.who == "technician"
    assert "Tuesday morning Load: 1 × Spark igniter." in booked.words
    assert "in 100 that one visit is enough" in booked.words
    assert "A visit is booked" in [h.value for h in app.header]
    text = calls.hand_over_text(
        store, knowledge, keeping.read(store, knowledge, number), calls.Caller("Ann Example")
    )
    assert "Caller: Found. Watch one start" in text

    site = open_page("visit", number)
    assert "Load: 1 × Spark igniter." in shown(site)
    assert "**Found, by the caller.** Watch one start" in shown(site)
    assert keeping.read(store, knowledge, number).state.who == "technician"


def test_a_booked_call_leaves_the_open_ones_and_is_found_again(open_page, call):
    call(happened.HandedOver(who="technician"), address="Mill Lane 4", phone="555 0100")
    other = call(name="Bob Example")
    app = open_page("desk")
    assert "Ann Example" not in shown(app)
    assert "Bob Example" in shown(app)
    for words in ("ann", "MILL lane", "555 0100", "#1"):
        app.text_input(key="desk_find").input(words).run()
        assert "Ann Example" in shown(app)
        assert "Visit booked" in shown(app)
        assert f"Visit {other}," not in shown(app)
    app.text_input(key="desk_find").input("nobody at all").run()
    assert "No call has these words." in shown(app)


def test_a_technicians_visit_is_no_call(open_page, begun):
    begun()

    assert "No call yet." in shown(open_page("desk"))

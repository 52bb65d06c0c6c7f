"""The yearly service on the screen, from the start page to its end."""

import pytest

from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.service import MEASURE, USUAL, following, openings_of, plan
from engine.visit.state import fold
from tests import strategies
from tests.app.pages import press, shown, unescaped


@pytest.fixture
def serviced(store, knowledge):
    """A service begun, with further events; its id."""

    def begin(*events, extent=USUAL, who="technician"):
        visit = keeping.begin(store, knowledge, who, "Mill Lane 4")
        openings = openings_of(knowledge, who, extent)
        for event in (happened.ServicePlanned(openings=openings), *events):
            keeping.record(store, knowledge, visit, event)
        return visit

    return begin


def to_the_service(app, who="Technician with a gas licence"):
    radio = app.radio(key="opening_who")
    radio.set_value({"Technician with a gas licence": "technician"}.get(who, who)).run()
    return press(app, "None of these")


def test_a_service_starts_without_a_complaint(open_page, store, events_of, knowledge):
    app = to_the_service(open_page())
    app.button(key="service").click().run()
    text = shown(app)
    assert "1 × Flame rod gasket" in text
    assert "Low-level CO meter" in text

    app.radio(key="opening_extent").set_value(MEASURE).run()
    assert "Flame rod gasket" not in shown(app)
    app.button(key="openings").click().run()
    app.button(key="begin").click().run()

    (planned,) = [e for e in events_of(1) if isinstance(e, happened.ServicePlanned)]
    assert planned.openings == openings_of(knowledge, "technician", MEASURE)
    assert app.header[0].value == knowledge.checks["room_co"].name


def test_a_caller_is_offered_no_service(open_page):
    app = open_page()
    app.radio(key="opening_who").set_value("caller").run()
    press(app, "None of these")

    assert "service" not in [button.key for button in app.button]


def test_the_list_shows_what_is_left_and_any_item_can_be_taken(
    open_page, serviced, store, knowledge
):
    visit = serviced()
    app = open_page("visit", visit)
    items = len(plan(knowledge, keeping.folded(store, knowledge, visit)))
    labels = [unescaped(e.label) for e in app.expander]
    assert any(label.startswith(f"The service list: {items} of {items} left") for label in labels)

    app.button(key="item_layers_check_trap_seen").click().run()

    assert app.header[0].value == knowledge.checks["trap_seen"].name
    assert knowledge.checks["trap_seen"].photograph in shown(app)


def test_opening_ahead_of_the_readings_is_warned_of_and_not_forbidden(
    open_page, serviced, knowledge
):
    lost = "Read these first, or they are lost as found"
    app = open_page("visit", serviced())
    assert lost not in shown(app)
    app.button(key="item_layers_check_flame_rod_seen").click().run()
    assert f"{lost}:** {knowledge.checks['mixture_high_fire'].name}" in shown(app)
    assert "not priced" not in shown(app)

    press(app, knowledge.checks["flame_rod_seen"].outcomes["clean"].says)
    app.button(key="item_layers_check_igniter_seen").click().run()
    assert lost not in shown(app)


def test_readings_of_the_bench_go_into_a_service(open_page, serviced):
    app = open_page("readings", serviced())

    assert not app.exception
    assert "For visit 1, Mill Lane 4." in shown(app)


def test_an_item_is_put_off_or_set_aside_in_one_go(open_page, serviced, events_of, knowledge):
    visit = serviced()
    app = open_page("visit", visit)
    first = app.header[0].value
    next(b for b in app.button if b.label == "Later, after the others").click().run()
    assert app.header[0].value != first
    press(app, "Don't know")

    kinds = [event.kind for event in events_of(visit)]
    assert kinds[-2:] == ["postponed", "skipped"]
    assert not app.exception


def test_a_finding_brings_suspects_and_the_list_stays_one_tap_away(open_page, serviced, knowledge):
    app = open_page("visit", serviced())
    app.button(key="item_layers_check_flame_rod_seen").click().run()
    press(app, knowledge.checks["flame_rod_seen"].outcomes["coated"].says)

    text = shown(app)
    assert "Found on the way" in text
    assert "First suspects" in text
    assert "Flame rod coated" in text
    assert app.header[0].value != knowledge.checks["room_co"].name

    app.button(key="on_with_list").click().run()
    assert app.header[0].value == knowledge.checks["room_co"].name
    press(app, "As outdoors")
    assert app.header[0].value == knowledge.checks["room_air_survey"].name  # the list goes on

    app.button(key="look_into").click().run()
    assert app.button(key="on_with_list")


def test_taking_the_finding_back_on_the_screen_takes_the_suspects_away(
    open_page, serviced, knowledge
):
    app = open_page("visit", serviced())
    app.button(key="item_layers_check_flame_rod_seen").click().run()
    press(app, knowledge.checks["flame_rod_seen"].outcomes["coated"].says)
    app.button(key="undo").click().run()

    assert "Found on the way" not in shown(app)
    assert "Suspects" not in [h.value for h in app.subheader]
    assert app.header[0].value == knowledge.checks["room_co"].name


def test_the_openings_can_be_changed_in_the_visit(open_page, serviced, events_of):
    visit = serviced(extent=MEASURE)
    app = open_page("visit", visit)
    key = f"openings_{visit}_2"
    app.radio(key=f"{key}_extent").set_value("look").run()
    app.button(key=f"{key}_enter").click().run()

    assert events_of(visit)[-1] == happened.ServicePlanned(openings=())


def test_two_starts_do_not_share_what_was_said(open_page, knowledge):
    """The complaint of one person is not on the screen of the next."""
    first = to_the_service(open_page())
    first.text_input(key="opening_words").set_value("it gurgles").run()
    first.button(key="opening_near_condensate_backs_up").click().run()
    assert knowledge.symptoms["condensate_backs_up"].name in shown(first)

    second = to_the_service(open_page())
    second.button(key="service").click().run()
    second.button(key="openings").click().run()
    assert knowledge.symptoms["condensate_backs_up"].name not in shown(second)


def test_somebody_without_a_licence_goes_on_with_what_he_may(open_page, serviced, knowledge):
    app = open_page("visit", serviced(happened.HandedOver(who="technician_no_gas")))

    items = [b.key for b in app.button if (b.key or "").startswith("item_")]
    assert not app.exception
    assert "item_layers_check_trap_seen" in items
    assert "item_layers_check_igniter_seen" not in items


def test_a_whole_service_ends_on_the_screen(open_page, serviced, store, knowledge):
    visit = serviced(extent=MEASURE)
    for _ in range(80):
        state = keeping.read(store, knowledge, visit).state
        item = following(plan(knowledge, state))
        if item is None:
            break
        event = (
            strategies.proof(knowledge, item.id)
            if item.kind == "proof"
            else happened.Found(check=item.id, outcome=knowledge.checks[item.id].healthy)
        )
        keeping.record(store, knowledge, visit, event)
    app = open_page("visit", visit)
    assert app.header[0].value == "Nothing is left on the list. End the visit."

    app = open_page("ending", visit)
    assert "No complaint, and none came up." in shown(app)
    app.radio(key="end").set_value("serviced_and_proven").run()
    app.button(key="close").click().run()

    assert not app.error
    history = [(e.number, happened.EVENT.validate_python(e.body)) for e in store.events(visit)]
    assert fold(knowledge, history).end == "serviced_and_proven"


def test_an_unfinished_service_says_why_it_cannot_end(open_page, serviced):
    app = open_page("ending", serviced())

    assert "Serviced, nothing left open is not possible: nothing was looked at" in shown(
        app
    ).replace("**", "").replace("*", "")

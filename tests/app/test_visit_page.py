"""The visit on the screen: one step, its answer, and what is said about it."""

import pytest

from engine import safety
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.steps import taken
from engine.visit.text import step_lines
from engine.visit.told import told
from tests.app.pages import field, press, shown, take, unescaped, unfold

RUNNING = "inlet_gas_pressure_running"
COATED = happened.Found(check="flame_rod_seen", outcome="coated")
CLEANED = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")
GASKET_SEEN = happened.Proved(closing="new_flame_rod_gasket", words="a new one, dry")


@pytest.fixture
def page(begun, open_page):
    """A page on a fresh visit, its number beside it."""

    def opened(*events, **more):
        visit = begun(*events, **more)
        return open_page("visit", visit), visit

    return opened


# ------------------------------------------------------------------ which visit


@pytest.mark.parametrize("number", [None, "", "abc", "-1", "٣", "9999", "1 or 1=1", "9" * 40])
@pytest.mark.parametrize("screen", ["visit", "ending"])
def test_an_address_without_a_visit_is_explained(open_page, screen, number):
    app = open_page(screen, number)

    assert not app.exception
    assert app.title[0].value == "No visit here"
    assert app.error[0].value.endswith(".")


def test_another_session_finds_the_visit_as_it_was_left(page, open_page):
    """What a killed process or a reloaded page comes back to: the stored events, nothing else."""
    first, visit = page()
    take(first, keeping.knowledge(), "start_sequence")
    press(first, "Lights, then goes out again")

    again = open_page("visit", visit)

    assert "Watch one start: Lights, then goes out again" in shown(again)
    assert [h.value for h in again.header] == [h.value for h in first.header]


def test_an_ended_visit_opens_at_its_end(page):
    app, _ = page(happened.Closed(end="no_listed_cause"))

    assert app.title[0].value == "The end"


# ------------------------------------------------------------------ the step


def test_cautions_stand_before_the_moves_and_the_moves_before_the_answer(page, knowledge):
    app, _ = page()
    take(app, knowledge, RUNNING)

    text = shown(app)
    check = knowledge.checks[RUNNING]
    layers = safety.opened_for(knowledge, "checks", RUNNING)
    first_opened = knowledge.access[layers[0]].open_how[0]
    cautions = [knowledge.cautions[c].says for c in safety.cautions(knowledge, "checks", RUNNING)]
    assert cautions
    acts = [text.index(caution.partition(". ")[0]) for caution in cautions]
    assert max(acts) < text.index(first_opened) < text.index(check.how[0]) < text.index(check.asks)


def test_what_is_open_and_must_be_shut_is_said_with_how(page, knowledge):
    """The start cannot be watched while the rod is out: it goes back first, with its gasket."""
    app, _ = page(happened.Found(check="flame_rod_seen", outcome="clean"))
    take(app, knowledge, "start_sequence")

    labels = [unescaped(e.label) for e in app.expander]
    assert any("Flame rod out: put back" in label for label in labels)
    assert knowledge.access["flame_rod_out"].close_how[0] in shown(app)


def test_screen_and_terminal_name_what_comes_first_in_the_same_words(page, store, knowledge):
    app, visit = page(happened.Found(check="flame_rod_seen", outcome="clean"))
    take(app, knowledge, "start_sequence")
    step = taken(knowledge, keeping.read(store, knowledge, visit), "check", "start_sequence")
    written = "\n".join(step_lines(knowledge, step))

    (label,) = [e.label for e in app.expander if e.label.startswith("**First:**")]
    on_screen = unescaped(label).removeprefix("**First:** ").split("; ")
    assert on_screen[0].endswith(": put back")
    assert ": " not in on_screen[-1]  # what is to be reached is named alone
    for words in on_screen:
        assert f"  {words}\n" in written


def test_why_this_says_what_each_answer_leads_to(page, knowledge):
    app, _ = page()
    take(app, knowledge, "flame_rod_seen")

    text = shown(unfold(app, "Why this"))
    for outcome in knowledge.checks["flame_rod_seen"].outcomes.values():
        assert f"**{outcome.says}**".replace("*", "") in text.replace("*", "")
    assert "Flame rod coated (" in text


def test_a_chosen_step_and_every_other_one_say_what_they_cost(page, knowledge):
    app, _ = page()
    unfold(app, "Other steps")
    offers = [b for b in app.button if (b.key or "").startswith(("take_check", "take_action"))]
    assert offers
    assert all("; about as good" in b.label or "; in all about" in b.label for b in offers)
    advised = app.header[0].value

    take(app, knowledge, "flame_rod_seen")

    assert "In all it costs about" in shown(app)
    assert f"the advised step, '{unescaped(advised)}'" in unescaped(shown(app))


def test_a_caller_is_offered_nothing_that_takes_tools_or_a_licence(page, knowledge):
    app, _ = page(who="caller")

    unfold(app, "Other steps")
    offered = [b.key for b in app.button if (b.key or "").startswith(("take_check", "take_action"))]
    names = [(key.split("_")[1], key.split("_", 2)[2].rpartition("_")[0]) for key in offered]
    further = app.selectbox(key="any_other").options
    assert names
    assert all(safety.allowed(knowledge, "caller", f"{kind}s", name) for kind, name in names
               if name in getattr(knowledge, f"{kind}s"))  # fmt: skip
    barred = [
        check.name
        for name, check in knowledge.checks.items()
        if not safety.allowed(knowledge, "caller", "checks", name)
    ]
    assert not any(option.startswith(f"{name} (") for option in further for name in barred)


# ------------------------------------------------------------------ answers


def test_a_tap_on_what_one_sees_is_stored(page, knowledge, events_of):
    app, visit = page()
    take(app, knowledge, "start_sequence")
    press(app, "Lights, then goes out again")

    last = events_of(visit)[-1]
    assert (last.check, last.outcome) == ("start_sequence", "flame_then_lost")


def test_a_number_is_stored_as_typed_and_judged_with_its_limit(page, knowledge, events_of):
    """8.7 mbar is the typical least running pressure in knowledge/facts.yaml: 3.49 inH2O."""
    app, visit = page()
    take(app, knowledge, RUNNING)
    field(app, "Running inlet pressure").set_value("3.0 in. w.c.")
    press(app, "Enter")

    assert events_of(visit)[-1].values == {"pressure": "3.0 in. w.c."}
    text = shown(app)
    assert "needs 3.49 inH2O or more, typical figure: check the plate or manual" in text
    assert "Too low" in text
    assert knowledge.checks[RUNNING].outcomes["low"].means in text


def test_the_makers_limit_replaces_the_typical_one(page, knowledge):
    app, _ = page(happened.FactStated(fact="inlet_pressure_min", value="5 inH2O"))
    take(app, knowledge, RUNNING)
    field(app, "Running inlet pressure").set_value("4.1 inH2O")
    press(app, "Enter")

    assert "needs 5 inH2O or more, entered for this boiler" in shown(app)


def test_the_unit_typed_last_is_offered_first(page, knowledge):
    app, _ = page()
    take(app, knowledge, RUNNING)
    field(app, "Running inlet pressure").set_value("7 inH2O")
    press(app, "Enter")
    take(app, knowledge, "inlet_gas_pressure_static")

    units = next(g for g in app.button_group if g.label.startswith("Unit of: Static inlet"))
    assert units.value == "inH2O"


def test_an_unreadable_value_is_explained_and_not_stored(page, knowledge, events_of):
    app, visit = page()
    take(app, knowledge, RUNNING)
    field(app, "Running inlet pressure").set_value("a lot")
    press(app, "Enter")

    assert "'a lot' does not start with a number" in unescaped(app.error[0].value)
    assert events_of(visit)[-1].kind == "symptom_reported"


def test_the_example_of_a_field_is_one_of_what_is_asked(page, knowledge):
    app, _ = page()
    take(app, knowledge, "system_pressure_gauge")
    gauge = field(app, knowledge.checks["system_pressure_gauge"].reading.fields["pressure"].name)
    assert gauge.placeholder == "number, or such as 1.6 bar"
    gauge.set_value("5 bananas")
    press(app, "Enter")

    assert "such as '1.6 bar'" in unescaped(app.error[0].value)


def test_an_implausible_value_is_questioned_before_it_counts(page, knowledge, events_of):
    app, visit = page()
    take(app, knowledge, RUNNING)
    field(app, "Running inlet pressure").set_value("410 inH2O")
    press(app, "Enter")

    assert "is this right?" in app.warning[-1].value
    assert events_of(visit)[-1].kind == "symptom_reported"

    press(app, "It is right")

    last = events_of(visit)[-1]
    assert (last.values, last.sure) == ({"pressure": "410 inH2O"}, True)


def test_a_questioned_value_can_be_corrected(page, knowledge, events_of):
    app, visit = page()
    take(app, knowledge, RUNNING)
    field(app, "Running inlet pressure").set_value("410 inH2O")
    press(app, "Enter")
    press(app, "I correct it")

    assert not any(b.label == "It is right" for b in app.button)
    assert events_of(visit)[-1].kind == "symptom_reported"


def test_two_numbers_of_one_instrument_are_entered_together(page, knowledge, events_of):
    app, visit = page()
    take(app, knowledge, "mixture_high_fire")
    field(app, "O2 in the dry flue gas").set_value("4.9")
    field(app, "CO2 in the dry flue gas").set_value("9.1")
    press(app, "Enter")

    assert events_of(visit)[-1].values == {"o2": "4.9 %", "co2": "9.1 %"}


@pytest.mark.parametrize(
    ("label", "reason"), [("Don't know", "don't know"), ("Set it aside", "no meter here")]
)
def test_not_knowing_and_not_being_able_change_no_suspect(
    page, knowledge, events_of, store, label, reason
):
    app, visit = page()
    before = keeping.read(store, knowledge, visit).view.suspects
    take(app, knowledge, RUNNING)
    field(app, "Why not?").set_value("no meter here")
    press(app, label)

    assert events_of(visit)[-1] == happened.Skipped(step=RUNNING, reason=reason)
    assert keeping.read(store, knowledge, visit).view.suspects == before


# ------------------------------------------------------------------ changing one's mind


def test_undo_takes_the_last_answer_back(page, knowledge, store):
    app, visit = page()
    take(app, knowledge, "start_sequence")
    press(app, "Lights, then goes out again")
    press(app, "Undo this")

    assert keeping.read(store, knowledge, visit).state.findings == ()
    assert "Watch one start: Lights" not in shown(app)


def test_an_entry_is_taken_back_only_after_its_consequence_was_read(page, store, knowledge):
    app, visit = page(COATED)
    entry = next(e for e in told(knowledge, keeping.read(store, knowledge, visit)) if e.check)
    app.button(key=f"back_{entry.number}").click().run()

    assert "first suspect" in app.warning[-1].value
    assert keeping.read(store, knowledge, visit).state.findings

    press(app, "Yes, take it back")

    assert keeping.read(store, knowledge, visit).state.findings == ()


def test_an_answer_is_changed_where_it_stands(page, knowledge, store):
    app, visit = page(COATED)
    press(app, "Change")
    press(app, knowledge.checks["flame_rod_seen"].outcomes["clean"].says)

    state = keeping.read(store, knowledge, visit).state
    assert [f.outcome for f in state.findings] == ["clean"]
    assert "This changes the first suspect from 'Flame rod coated'" in shown(app)


def test_a_figure_of_the_plate_can_be_entered_on_the_way(page, events_of):
    app, visit = page()
    app.selectbox(key="fact_name").set_value("co_limit").run()
    field(app, "Above which CO").set_value("200 ppm").run()
    press(app, "Enter it")

    assert events_of(visit)[-1] == happened.FactStated(fact="co_limit", value="200 ppm")


def test_a_suspicion_is_answered_with_what_speaks_for_it_and_against_it(page):
    app, _ = page(COATED, happened.Suspected(cause="flame_rod_coated"))

    text = shown(app)
    assert "You think: 'Flame rod coated'. It is" in text
    assert "speaks" in text


def test_notes_and_a_handing_over_are_kept(page, events_of):
    app, visit = page()
    app.text_area[0].set_value("dog in the yard")
    press(app, "Keep the note")
    app.radio(key="next_who").set_value("caller")
    press(app, "Hand over")

    kept = events_of(visit)[-2:]
    assert kept == [happened.Noted(text="dog in the yard"), happened.HandedOver(who="caller")]


# ------------------------------------------------------------------ repair and proof


def test_a_repair_is_followed_by_its_proof_filled_with_words(page, events_of, store, knowledge):
    app, visit = page(COATED, CLEANED, GASKET_SEEN)
    closing = keeping.read(store, knowledge, visit).view.next
    assert closing.kind == "proof"
    assert app.header[0].value == knowledge.closing[closing.id].name

    press(app, "It holds")

    assert "write down what you saw" in app.error[0].value
    assert events_of(visit)[-1] == GASKET_SEEN

    field(app, "What you saw").set_value("lit five times, quiet")
    press(app, "It holds")

    assert events_of(visit)[-1].words == "lit five times, quiet"
    assert f"{knowledge.closing[closing.id].name}: proven" in shown(app)


def test_a_closing_reading_is_proven_with_its_value(page, events_of, knowledge):
    app, visit = page(COATED, CLEANED)
    unfold(app, "Other steps").button(key="take_proof_co_high_fire_ok_None").click().run()
    field(app, "CO as measured").set_value("20 ppm")
    field(app, "O2 at the same moment").set_value("5 %")
    press(app, "Enter")

    last = events_of(visit)[-1]
    assert (last.kind, last.closing, last.values) == (
        "proved", "co_high_fire_ok", {"co": "20 ppm", "o2": "5 %"},
    )  # fmt: skip


def test_a_repair_without_a_finding_that_points_at_it_is_refused_in_words(page, events_of):
    app, visit = page()
    unfold(app, "Other steps")
    box = app.selectbox(key="any_other")
    box.select(next(o for o in box.options if o.startswith("Replace the flame rod"))).run()
    app.button(key="show_other").click().run()
    press(app, "Done")

    assert "no finding points at it yet" in app.error[0].value
    assert events_of(visit)[-1].kind == "symptom_reported"


def test_a_call_ends_as_a_visit_booked_with_the_parts_it_may_need(page):
    """A caller may renew no flame rod; who comes may, and should have one in the van."""
    app, _ = page(happened.Found(check="fault_history", outcome="flame_losses"), who="caller")
    unfold(app, "Other steps").button(key="take_refer_refer_None").click().run()

    text = shown(app)
    assert "Book a visit." in text
    assert "1 × Flame rod, 1 × Flame rod gasket (for: Flame rod coated" in text


# ------------------------------------------------------------------ danger, and what fits nothing


def test_the_danger_signs_are_one_tap_away_from_every_step(page, events_of):
    app, visit = page()
    app.button(key="danger_gas_smell").click().run()

    assert app.title[0].value == "STOP: Smell of gas"
    assert events_of(visit)[-1] == happened.SymptomReported(symptom="gas_smell")


def test_under_danger_no_step_is_left_on_the_screen(page):
    app, _ = page(happened.SymptomReported(symptom="gas_smell"))

    labels = {b.label for b in app.button}
    assert labels == {"Go on", "Take it back and go on", "Keep the note", "Hand over"}


def test_a_licensed_technician_goes_on_after_making_it_safe(page, events_of):
    app, visit = page(happened.Found(check="co_high_fire", outcome="over_limit"))
    press(app, "Go on")
    assert "Tick the sentence" in app.error[0].value

    app.checkbox(key="made_safe_so").check().run()
    press(app, "Go on")
    assert "Write down what you measured" in app.error[0].value

    field(app, "What did you measure").set_value("cock tagged, room 0 ppm")
    press(app, "Go on")

    assert not app.title
    assert events_of(visit)[-1].words == "cock tagged, room 0 ppm"


def test_after_a_danger_made_safe_the_cautions_of_the_step_itself_stay_unfolded(page, knowledge):
    made_safe = happened.MadeSafe(event=3, words="cock tagged, room 0 ppm")
    app, _ = page(happened.Found(check="co_high_fire", outcome="over_limit"), made_safe)
    take(app, knowledge, "door_gasket_seen")

    (folded,) = [e for e in app.expander if "more cautions" in e.label]
    open_to_all, hidden = app.warning[0].value, folded.warning[0].value
    for name in safety.cautions(knowledge, "checks", "door_gasket_seen"):
        act = knowledge.cautions[name].says.partition(". ")[0]
        assert (act in unescaped(open_to_all)) != (act in unescaped(hidden))
        if name in knowledge.checks["door_gasket_seen"].cautions:
            assert act in unescaped(open_to_all)
    assert folded.label.startswith(str(hidden.count("\n- ")))


def test_without_a_gas_licence_nobody_goes_on_from_danger(page):
    app, _ = page(happened.SymptomReported(symptom="gas_smell"), who="technician_no_gas")

    assert "Go on" not in {b.label for b in app.button}


def test_a_dangerous_reading_stops_and_shows_its_figure(page, knowledge):
    app, _ = page()
    take(app, knowledge, "co_high_fire")
    field(app, "CO as measured").set_value("560 ppm")
    field(app, "O2 at the same moment").set_value("5.0 %")
    press(app, "Enter")

    assert app.title[0].value.startswith("STOP: ")
    assert "CO air-free 740 ± 40 ppm" in shown(
        app
    )  # 560 · 20.9 / (20.9 - 5.0) = 736.1, to the ten its ± 40 leaves


def test_a_danger_sign_is_taken_back_only_with_a_reason(page, events_of):
    app, visit = page(happened.SymptomReported(symptom="gas_smell"))
    press(app, "Take it back and go on")
    assert "Write down what was wrong" in app.error[0].value

    field(app, "What was wrong").set_value("wrong button")
    press(app, "Take it back and go on")

    assert not app.title
    assert "wrong button" in events_of(visit)[-2].text


def test_a_visit_whose_only_complaint_was_taken_back_asks_for_one(open_page, begun, events_of):
    visit = begun(happened.TakenBack(event=2))
    app = open_page("visit", visit)
    app.text_input(key="visit_words").set_value("gives up after clicking").run()
    app.button(key="visit_near_locks_out_no_flame").click().run()

    assert events_of(visit)[-1] == happened.SymptomReported(symptom="locks_out_no_flame")
    assert app.header


def test_who_can_answer_nothing_is_told_so_and_led_to_the_end(page, store, knowledge):
    app, visit = page()
    for _ in range(5):
        press(app, "Don't know")

    loss = keeping.read(store, knowledge, visit).view.at_a_loss
    assert loss
    assert loss in {unescaped(warning.value) for warning in app.warning}


def test_findings_that_disagree_are_said_loudly(page, store, knowledge):
    """A fan that does not start, and yet a spark and full voltage at the valve in the trial."""
    app, visit = page(
        happened.Found(check="start_sequence", outcome="fan_does_not_start"),
        happened.Found(check="spark_seen", outcome="steady_spark"),
        happened.Found(check="valve_voltage_in_trial", outcome="full_time"),
        complaint="locks_out_no_flame",
    )

    unusual = keeping.read(store, knowledge, visit).view.unusual
    warned = [unescaped(warning.value) for warning in app.warning]
    assert unusual
    assert all(any(text in warning for warning in warned) for text in unusual)


# ------------------------------------------------------------------ the clock


def clocks(app):
    return app.get("bidi_component")


@pytest.mark.parametrize(
    ("step", "there"), [("check.gas_input_clocked", 1), ("check.flame_rod_seen", 0)]
)
def test_a_step_that_is_timed_has_a_clock(page, step, there):
    app, _ = page()
    app.query_params["step"] = step
    app.run()

    assert not app.exception
    assert len(clocks(app)) == there


# ------------------------------------------------------------------ what is open


def test_what_is_open_is_said_with_what_can_be_done_while_it_is(page, knowledge):
    app, _ = page(COATED)

    (label,) = [unescaped(e.label) for e in app.expander if "Open now" in e.label]
    assert label.startswith("**Open now:** Flame rod out (13 min to close again")
    offered = [b for b in app.button if (b.key or "").startswith("open_check_")]
    check = offered[0].key.removeprefix("open_check_")
    offered[0].click().run()

    assert app.header[0].value == knowledge.checks[check].name
    assert not [e for e in app.expander if e.label.startswith("**First:**")]


def test_what_closing_obliges_is_named(page, knowledge):
    app, _ = page(COATED)

    text = shown(app)
    start = text.index("Closing it obliges")
    for name in knowledge.access["flame_rod_out"].closing:
        assert text.index(knowledge.closing[name].name, start)


def test_nothing_open_takes_no_room(page):
    app, _ = page()

    assert "Open now" not in shown(app)
    assert not [e for e in app.expander if "Open now" in e.label]


# ------------------------------------------------------------------ two people in one visit


def test_undo_never_takes_back_what_somebody_else_just_entered(page, store, knowledge, events_of):
    app, visit = page(happened.Found(check="flame_signal_history", outcome="slow_fall"))
    from_elsewhere = happened.Found(check="flame_rod_seen", outcome="clean")
    keeping.record(store, knowledge, visit, from_elsewhere)
    app.button(key="undo").click().run()

    assert events_of(visit)[-1] == from_elsewhere
    assert "Meanwhile this was entered elsewhere" in shown(app)
    assert "Your last tap was not stored." in shown(app)
    assert app.error[0].value.startswith("Not stored")

    app.button(key="undo").click().run()
    assert events_of(visit)[-1] == happened.TakenBack(event=4)


def test_ones_own_entries_are_not_told_as_somebody_elses(page):
    app, _ = page()
    take(app, keeping.knowledge(), "start_sequence")
    press(app, "Lights, then goes out again")
    press(app, "Undo this")

    assert "Meanwhile" not in shown(app)

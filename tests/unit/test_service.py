"""The yearly service: the order of its list, what a finding brings, and how it may end."""

from itertools import pairwise

import pytest

from engine import safety
from engine.errors import NotAllowed, UnreadableValue
from engine.knowledge import graph as graphs
from engine.visit import events as happened
from engine.visit.bring import to_bring
from engine.visit.consult import Case, as_json
from engine.visit.ends import ends_of
from engine.visit.job_sheet import job_sheet
from engine.visit.job_sheet_text import as_text
from engine.visit.opened import open_closing
from engine.visit.overview import overview
from engine.visit.service import (
    ASIDE,
    DONE,
    EXTENT_WORDS,
    FOUND,
    FULL,
    LATER,
    LAYERS,
    LEFT,
    LOOK,
    LOST,
    MEASURE,
    OTHERS,
    USUAL,
    choosable,
    extent_of,
    figures,
    following,
    missing_as_left,
    openings_of,
    plan,
    waiting,
)
from engine.visit.state import State, fold
from engine.visit.steps import taken
from engine.visit.summary import refused, summarise
from engine.visit.taking import check_event
from engine.visit.told import told
from engine.visit.view import look
from tests import strategies

SERVICED = "serviced_and_proven"


@pytest.fixture
def planned(knowledge):
    """The list of a service of one extent, before anything was done."""

    def plan_of(extent, who="technician", **more):
        openings = openings_of(knowledge, who, extent)
        return plan(knowledge, State(who=who, service=openings, **more))

    return plan_of


@pytest.fixture
def walk(knowledge):
    """A service worked through by its own advice, every answer the healthy one but those given."""

    def walked(extent=USUAL, who="technician", until=None, **answers):
        history = started(knowledge, openings_of(knowledge, who, extent), who)
        for _ in range(90):
            step = look(knowledge, fold(knowledge, history)).next
            if step is None or step.id == until:
                break
            history = entered(knowledge, history, answer(knowledge, step, answers.get(step.id)))
        return history

    return walked


def started(knowledge, openings, who="technician"):
    events = [happened.Opened(who=who), happened.ServicePlanned(openings=tuple(openings))]
    return entered(knowledge, (), *events)


def entered(knowledge, history, *events):
    """The history with further events, each of them taken as it is entered."""
    for event in events:
        check_event(knowledge, history, event)
        history = (*history, (len(history) + 1, event))
    return history


def answer(knowledge, step, outcome=None):
    """What is entered for a step: a healthy look, a repair done, a proof that holds."""
    if step.kind == "check":
        outcome = outcome or knowledge.checks[step.id].healthy
        return happened.Found(check=step.id, outcome=outcome)
    if step.kind == "action":
        return happened.ActionDone(action=step.id, cause=step.cause)
    return strategies.proof(knowledge, step.id)


def opened_by(knowledge, item):
    """The layers that an item is behind, by the files' own `needs`, the innermost last."""
    kind = "closing" if item.kind == "proof" else f"{item.kind}s"
    entry = getattr(knowledge, kind)[item.id]
    if item.kind == "proof":
        entry = knowledge.checks[entry.check] if entry.check else None
    found = []

    def add(name):
        for before in knowledge.access[name].needs:
            add(before)
        if knowledge.access[name].kind == "opened" and name not in found:
            found.append(name)

    for name in entry.access if entry else ():
        add(name)
    return found


# ------------------------------------------------------------------ the order of the list


@pytest.mark.parametrize("extent", EXTENT_WORDS)
def test_every_reading_as_found_stands_before_the_first_thing_that_keeps_it_from_running(
    knowledge, planned, extent
):
    items = planned(extent)
    stages = [item.stage for item in items]

    assert stages == sorted(stages, key=[FOUND, LAYERS, LEFT].index)
    assert stages.count(FOUND) >= 5
    for item in items[: stages.index(LAYERS)]:
        assert not any(knowledge.access[n].shut_to_run for n in opened_by(knowledge, item)), item.id


def test_the_figures_that_a_service_is_judged_by_are_all_read_as_found(planned):
    found = {item.id for item in planned(USUAL) if item.stage == FOUND}

    assert {
        "mixture_high_fire", "mixture_low_fire", "co_high_fire", "co_low_fire", "flame_current",
        "inlet_gas_pressure_static", "inlet_gas_pressure_running", "intake_air",
        "flue_temperature_rise", "room_co",
    } <= found  # fmt: skip


def test_the_air_of_the_room_is_measured_before_anything_else(planned):
    assert planned(FULL)[0].id == "room_co"


@pytest.mark.parametrize("extent", [USUAL, FULL])
def test_nothing_behind_a_layer_stands_before_that_layer(knowledge, planned, extent):
    """Going down the list, each item opens its own layer next or finds it open: no layer appears
    in the needs of an item after one that lies deeper along the same way."""
    seen = []
    for item in planned(extent):
        if item.stage != LAYERS:
            continue
        assert item.layer == (opened_by(knowledge, item) or [None])[-1]
        for layer in opened_by(knowledge, item)[:-1]:
            deeper = [n for n in seen if layer in graphs.opening_order(knowledge.graph, (n,))]
            assert layer in seen or not deeper or knowledge.access[layer].needs == ()
        seen += [n for n in opened_by(knowledge, item) if n not in seen]
    places = {name: place for place, name in enumerate(seen)}
    for name in seen:
        assert all(places[need] < places[name] for need in knowledge.access[name].needs)


def test_a_look_comes_before_the_cleaning_of_the_same_layer(walk, knowledge):
    history = walk(until="neutraliser_seen", trap_seen="sludged")
    items = plan(knowledge, fold(knowledge, history))
    at = {item.id: place for place, item in enumerate(items) if item.stage == LAYERS}

    assert at["trap_seen"] < at["clean_trap"]
    assert at["neutraliser_seen"] < at["flush_neutraliser"]


def test_look_only_opens_nothing_and_measuring_opens_nothing_that_keeps_it_off(knowledge, planned):
    assert openings_of(knowledge, "technician", LOOK) == ()
    assert not any(
        knowledge.access[name].shut_to_run for name in openings_of(knowledge, "technician", MEASURE)
    )
    for item in planned(LOOK):
        assert not any(knowledge.access[n].closing for n in opened_by(knowledge, item)), item.id
        assert item.kind == "check"


def test_each_extent_opens_what_the_one_before_it_opens(knowledge):
    opened = [set(openings_of(knowledge, "technician", extent)) for extent in EXTENT_WORDS]

    assert all(less < more for less, more in pairwise(opened))
    assert "burner_door_off" in opened[-1]


def test_chosen_layers_are_named_by_the_least_extent_that_holds_them(knowledge):
    for extent in EXTENT_WORDS:
        chosen = openings_of(knowledge, "technician", extent)
        assert extent_of(knowledge, "technician", chosen) == extent
    assert extent_of(knowledge, "technician", ["trap_off"]) == USUAL
    assert extent_of(knowledge, "technician", ["vent_apart"]) == FULL


# ------------------------------------------------------------------ closing and as left


@pytest.mark.parametrize("extent", [MEASURE, USUAL, FULL])
def test_what_closing_obliges_follows_for_every_layer_opened(knowledge, planned, extent):
    proofs = {item.id for item in planned(extent) if item.kind == "proof"}
    layers = {n for item in planned(extent) for n in opened_by(knowledge, item)}

    assert layers >= set(openings_of(knowledge, "technician", extent))
    for layer in layers:
        assert set(knowledge.access[layer].closing) <= proofs


def test_combustion_is_read_again_at_both_rates_before_the_last_word(planned):
    left = [item.id for item in planned(USUAL) if item.stage == LEFT]

    for name in ("combustion_high_fire", "combustion_low_fire", "flame_current_baseline"):
        assert left.index("five_starts") < left.index(name) < left.index("covers_and_seals_on")
    assert left[-1] == "user_shown"


def test_a_service_of_looks_alone_asks_for_no_second_reading(planned):
    assert not [item for item in planned(LOOK) if item.stage == LEFT]


def test_the_whole_list_leads_to_its_own_end(walk, knowledge):
    history = walk(FULL)
    state = fold(knowledge, history)

    assert not waiting(plan(knowledge, state))
    assert not open_closing(knowledge, state)
    closed = entered(knowledge, history, happened.Closed(end=SERVICED))
    assert look(knowledge, fold(knowledge, closed)).status == "closed"


# ------------------------------------------------------------------ what to bring


def test_the_gasket_of_every_layer_that_obliges_a_new_one_is_on_the_list(knowledge):
    """By the words of the closing steps: 'New igniter gasket' asks for an igniter gasket."""
    renewing = {n for n in knowledge.closing if n.startswith("new_")}
    assert len(renewing) == 4
    for layer, entry in knowledge.access.items():
        if not set(entry.closing) & renewing:
            continue
        assert entry.parts, layer
        parts = to_bring(knowledge, "technician", {}, [layer]).parts
        assert {f"{p.count} × {p.part}" for p in entry.parts} <= set(parts)
    full = to_bring(knowledge, "technician", {}, openings_of(knowledge, "technician", FULL)).parts
    for word in ("Igniter gasket", "Flame rod gasket", "Burner door gasket", "Fan gasket"):
        assert f"1 × {word}" in full


def test_instruments_of_every_check_on_the_list_are_named(knowledge, planned):
    openings = openings_of(knowledge, "technician", USUAL)
    brought = to_bring(knowledge, "technician", {}, openings)
    named = " / ".join((*brought.instruments, *brought.tools)).lower()

    checks = [knowledge.checks[item.id] for item in planned(USUAL) if item.kind == "check"]
    assert sum(bool(check.instrument) for check in checks) > 15
    for check in checks:
        to_pack = [check.instrument or ""] if check.bring is None else check.bring
        assert all(thing.lower() in named for thing in to_pack)


THINGS = ("torch", "lamp", "mirror", "borescope", "bucket", "jug", "analyser", "low-level co meter",
          "manometer", "multimeter", "microampere", "low-ohm meter", "clip thermometer",
          "ph strips", "two-pole tester", "leak fluid", "ruler", "feeler gauge",
          "stopwatch")  # fmt: skip


@pytest.mark.parametrize("extent", [MEASURE, USUAL, FULL])
@pytest.mark.parametrize("who", ["technician", "technician_no_gas"])
@pytest.mark.parametrize("fuel", ["natural_gas", "propane"])
def test_nothing_is_to_be_packed_twice(knowledge, extent, who, fuel):
    brought = to_bring(knowledge, who, {"fuel": fuel}, openings_of(knowledge, who, extent))
    lines = [*brought.instruments, *brought.tools]

    assert len(lines) > 8
    for thing in THINGS:
        assert len([line for line in lines if thing in line.lower()]) <= 1, thing
    assert not [line for line in lines if "eyes" in line.lower() or "lamp" in line.lower()]
    everything = [*lines, *brought.if_dirty]
    for line in everything:
        assert not [other for other in everything if other != line and other.startswith(line)]


def test_what_hangs_at_the_boiler_is_not_packed(knowledge):
    openings = openings_of(knowledge, "technician", FULL)
    lines = to_bring(knowledge, "technician", {}, openings).instruments

    assert "Pressure gauge of the heating system" not in lines
    assert not [line for line in lines if "gas meter" in line.lower()]


def test_looks_alone_take_no_gaskets_and_no_licence_no_analyser(knowledge):
    assert to_bring(knowledge, "technician", {}, ()).parts == ()
    openings = openings_of(knowledge, "technician_no_gas", FULL)
    brought = to_bring(knowledge, "technician_no_gas", {}, openings)
    assert not [line for line in brought.instruments if "manometer" in line.lower()]
    assert "1 × Trap seal set" in brought.parts


# ------------------------------------------------------------------ what a finding brings


def raising(knowledge):
    return [
        (name, outcome, entry.raises)
        for name, check in knowledge.checks.items()
        for outcome, entry in check.outcomes.items()
        if entry.raises and not check.derived
    ]


def test_every_raised_complaint_leads_to_suspects_at_once(knowledge):
    """Each of them brings the complaint and at least one suspect that shows the finding."""
    pairs = raising(knowledge)
    assert len(pairs) > 100
    for check, outcome, complaint in pairs:
        history = started(knowledge, ())
        event = happened.Found(check=check, outcome=outcome)
        state = fold(knowledge, (*history, (3, event)))
        if state.danger:
            pytest.fail(f"{check} {outcome} is a danger sign and raises a complaint")
        assert state.symptoms == (complaint,)
        able = [
            name
            for name, cause in knowledge.causes.items()
            if outcome in cause.shows.get(check, {}) and complaint in cause.seen_with
        ]
        assert able


@pytest.mark.parametrize(
    ("check", "outcome", "complaint", "cause"),
    [
        ("venturi_and_hose_seen", "venturi_dirty", "debris_found", "building_dust_drawn_in"),
        ("fan_wheel_seen", "corroded_crust", "recirculation_signs", "terminals_too_close"),
        ("flame_rod_seen", "coated", "weak_flame_signal", "flame_rod_coated"),
        ("trap_seen", "sludged", "condensate_backs_up", "trap_blocked"),
    ],
)
def test_a_finding_is_looked_into_by_the_ordinary_planner(
    knowledge, check, outcome, complaint, cause
):
    history = started(knowledge, openings_of(knowledge, "technician", FULL))
    history = entered(knowledge, history, happened.Found(check=check, outcome=outcome))
    view = look(knowledge, fold(knowledge, history))

    assert complaint in fold(knowledge, history).symptoms
    assert cause in [suspect.cause for suspect in view.suspects[:12]]
    assert view.ranking
    assert view.next.kind in ("check", "action")


def test_taking_a_finding_back_takes_its_complaint_back(knowledge):
    history = started(knowledge, openings_of(knowledge, "technician", USUAL))
    coated = happened.Found(check="flame_rod_seen", outcome="coated")
    history = entered(knowledge, history, coated)
    assert fold(knowledge, history).symptoms == ("weak_flame_signal",)

    history = entered(knowledge, history, happened.TakenBack(event=3))

    assert fold(knowledge, history).symptoms == ()
    assert look(knowledge, fold(knowledge, history)).suspects == ()


def test_an_answer_given_again_at_once_corrects_the_complaint(knowledge):
    lean = happened.Found(check="mixture_high_fire", outcome="lean")
    right = happened.Found(check="mixture_high_fire", outcome="in_range")
    history = started(knowledge, openings_of(knowledge, "technician", USUAL))
    history = entered(knowledge, history, lean, right)

    assert fold(knowledge, history).symptoms == ()


def test_what_was_found_stays_found_once_the_boiler_was_opened(knowledge):
    """A better reading as left does not make the reading as found a slip."""
    history = started(knowledge, openings_of(knowledge, "technician", USUAL))
    history = entered(
        knowledge, history,
        happened.Found(check="mixture_high_fire", outcome="lean"),
        happened.Found(check="igniter_seen", outcome="sound"),
        happened.Proved(closing="combustion_high_fire", outcome="in_range"),
    )  # fmt: skip
    state = fold(knowledge, history)

    assert state.symptoms == ("co2_out_of_range",)
    (pair,) = [f for f in figures(knowledge, state) if f.check == "mixture_high_fire"]
    assert (pair.found.outcome, pair.left.outcome) == ("lean", "in_range")


def test_a_complaint_that_was_made_is_not_raised_again(knowledge):
    history = started(knowledge, ())
    history = entered(
        knowledge, history,
        happened.SymptomReported(symptom="weak_flame_signal"),
        happened.Found(check="flame_signal_history", outcome="slow_fall"),
    )  # fmt: skip
    state = fold(knowledge, history)

    assert state.symptoms == ("weak_flame_signal",)
    assert state.raised == ()


def test_without_a_service_no_finding_brings_a_complaint(knowledge):
    history = entered(
        knowledge, (),
        happened.Opened(who="technician"),
        happened.SymptomReported(symptom="locks_out_no_flame"),
        happened.Found(check="flame_rod_seen", outcome="coated"),
    )  # fmt: skip

    assert fold(knowledge, history).symptoms == ("locks_out_no_flame",)


def test_a_raised_complaint_does_not_say_that_the_boiler_never_fires(knowledge):
    """It burned as found: a worn igniter keeps nobody from reading the flue gas."""
    history = started(knowledge, openings_of(knowledge, "technician", USUAL))
    worn = happened.Found(check="igniter_seen", outcome="worn_or_gap_out")
    state = fold(knowledge, entered(knowledge, history, worn))

    assert state.symptoms == ("locks_out_no_flame",)
    reading = next(i for i in plan(knowledge, state) if i.id == "flue_temperature")
    assert reading.stands == "open"


def test_a_danger_sign_stops_a_service_as_any_visit(knowledge):
    history = started(knowledge, openings_of(knowledge, "technician", USUAL))
    over = happened.Found(check="co_high_fire", outcome="over_limit")
    view = look(knowledge, fold(knowledge, entered(knowledge, history, over)))

    assert view.status == "stop"
    assert view.next is None
    with pytest.raises(NotAllowed, match="danger sign stands"):
        entered(knowledge, (*history, (3, over)), happened.Found(check="leak_seen", outcome="dry"))


# ------------------------------------------------------------------ cleaning


def test_what_breaks_into_a_circuit_is_cleaned_only_where_a_look_found_it_dirty(knowledge, planned):
    offered = [i.id for i in planned(FULL) if i.kind == "action"]

    assert offered
    assert not [name for name in offered if safety.needs_justification(knowledge, name)]


def test_a_dirty_part_is_cleaned_by_what_opens_least(knowledge):
    history = started(knowledge, openings_of(knowledge, "technician", FULL))
    caked = happened.Found(check="fan_wheel_seen", outcome="caked")
    items = plan(knowledge, fold(knowledge, entered(knowledge, history, caked)))
    cleaning = [i.id for i in items if i.kind == "action" and i.why == "found dirty"]

    assert cleaning == ["clean_fan_wheel"]


def test_cleaning_that_is_due_mends_no_complaint_and_waits_for_no_proof(walk, knowledge):
    """After the neutraliser was flushed a new finding is looked into, not five starts asked for."""
    history = walk(until="neutraliser_seen")
    history = entered(
        knowledge, history,
        happened.Found(check="neutraliser_seen", outcome="flows"),
        happened.ActionDone(action="flush_neutraliser"),
        happened.Found(check="sense_lead_seen", outcome="damaged"),
    )  # fmt: skip
    view = look(knowledge, fold(knowledge, history))

    assert view.next.kind != "proof"
    assert view.suspects


def test_after_a_repair_the_list_goes_on_and_the_proof_comes_at_its_end(walk, knowledge):
    history = walk(until="intake_path_seen")
    cleaned = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")
    coated = happened.Found(check="flame_rod_seen", outcome="coated")
    history = entered(knowledge, history, coated, cleaned)
    view = look(knowledge, fold(knowledge, history))

    assert view.next.id == "intake_path_seen"
    assert "five_starts" in [i.id for i in waiting(view.service)]


# ------------------------------------------------------------------ the person leads


def test_an_item_set_aside_or_postponed_lets_the_list_go_on(knowledge):
    history = started(knowledge, openings_of(knowledge, "technician", USUAL))
    first, second = (item.id for item in plan(knowledge, fold(knowledge, history))[:2])
    aside = entered(knowledge, history, happened.Skipped(step=first, reason="meter at repair"))
    later = entered(knowledge, history, happened.Postponed(step=first))

    for state, stands in ((fold(knowledge, aside), ASIDE), (fold(knowledge, later), LATER)):
        items = plan(knowledge, state)
        assert following(items).id == second
        assert next(i for i in items if i.id == first).stands == stands
    late = plan(knowledge, fold(knowledge, later))
    assert [i.id for i in late if i.stage == FOUND][-1] == first
    assert next(i for i in plan(knowledge, fold(knowledge, aside)) if i.id == first).why == (
        "meter at repair"
    )


def test_any_item_can_be_done_at_once(after, knowledge):
    visit = after(
        happened.ServicePlanned(openings=openings_of(knowledge, "technician", USUAL)),
    )
    step = taken(knowledge, visit, "check", "trap_seen")

    assert step.to_open[-1] == "trap_off"
    assert step.cautions


def test_a_reading_as_found_is_lost_once_the_boiler_was_opened(knowledge):
    history = started(knowledge, openings_of(knowledge, "technician", USUAL))
    history = entered(
        knowledge, history, happened.Found(check="igniter_seen", outcome="sound")
    )  # fmt: skip
    found = {i.id: i.stands for i in plan(knowledge, fold(knowledge, history)) if i.stage == FOUND}

    assert found["mixture_high_fire"] == LOST
    assert found["room_air_survey"] == "open"


def test_the_openings_can_be_changed_on_the_way(knowledge):
    history = started(knowledge, ())
    history = entered(knowledge, history, happened.ServicePlanned(openings=("trap_off",)))

    assert "trap_seen" in [i.id for i in plan(knowledge, fold(knowledge, history))]


@pytest.mark.parametrize(
    ("who", "openings", "error", "said"),
    [
        ("technician", ["cover"], UnreadableValue, "there is no access state 'cover'"),
        ("technician", ["isolated"], NotAllowed, "is no opening to choose"),
        ("technician", ["firing_high"], NotAllowed, "is no opening to choose"),
        ("technician_no_gas", ["burner_door_off"], NotAllowed, "it takes a licence"),
        ("caller", [], NotAllowed, "a service is a technician's work"),
    ],
)
def test_a_service_that_cannot_be_is_refused(knowledge, who, openings, error, said):
    with pytest.raises(error, match=said):
        started(knowledge, openings, who)


# ------------------------------------------------------------------ without a licence


def test_without_a_licence_no_step_is_offered_that_takes_one(knowledge, walk):
    for history in (
        started(knowledge, openings_of(knowledge, "technician_no_gas", FULL), "technician_no_gas"),
        walk(FULL, "technician_no_gas"),
    ):
        items = plan(knowledge, fold(knowledge, history))
        assert {"trap_seen", "flame_current"} <= {i.id for i in items}
        for item in waiting(items):
            entry = {"check": "checks", "action": "actions", "proof": "closing"}[item.kind]
            step = getattr(knowledge, entry)[item.id]
            assert step.who != "technician", item.id
            assert all(knowledge.access[n].who != "technician" for n in opened_by(knowledge, item))
    others = [i.id for i in items if i.stands == OTHERS]
    assert "circuit_sniff_clear" in others
    with pytest.raises(NotAllowed, match="not proven yet"):
        check_event(knowledge, history, happened.Closed(end=SERVICED))


def test_only_what_a_person_may_open_can_be_chosen(knowledge):
    able = choosable(knowledge, "technician_no_gas")

    assert {"cover_off", "trap_off", "drain_open"} <= set(able)
    assert not [n for n in able if knowledge.access[n].who == "technician"]
    assert choosable(knowledge, "caller") == ()


# ------------------------------------------------------------------ the end


def test_the_end_is_refused_while_anything_stands_open(walk, knowledge):
    def said(history):
        with pytest.raises(NotAllowed) as refusal:
            check_event(knowledge, history, happened.Closed(end=SERVICED))
        return str(refusal.value)

    assert "nothing was looked at" in said(started(knowledge, ()))
    assert "still on the list" in said(walk(until="igniter_seen"))
    assert "not proven yet" in said(walk(until="five_starts"))
    assert "it was more than a service" in said(walk(flame_current="weak", until="five_starts"))


def test_the_end_is_refused_while_a_figure_was_not_read_as_left(walk, knowledge):
    """The rise of the flue temperature is no closing step; it is read again all the same."""
    whole = walk()
    rises = [n for n, e in whole if getattr(e, "check", None) == "flue_temperature_rise"]
    assert len(rises) == 2
    history = tuple(each for each in whole if each[0] != rises[1])
    assert not open_closing(knowledge, fold(knowledge, history))

    with pytest.raises(NotAllowed, match="not as left yet"):
        check_event(knowledge, history, happened.Closed(end=SERVICED))


def test_readings_as_left_are_asked_for_after_the_last_touch(walk, knowledge):
    history = walk()
    assert missing_as_left(knowledge, fold(knowledge, history)) == ()
    again = entered(knowledge, history, happened.Found(check="flame_rod_seen", outcome="clean"))

    assert set(missing_as_left(knowledge, fold(knowledge, again))) == {
        name for name, check in knowledge.checks.items() if check.yearly == "before_and_after"
    }


def test_a_visit_without_a_service_cannot_end_as_one(knowledge):
    history = entered(
        knowledge, (),
        happened.Opened(who="technician"),
        happened.SymptomReported(symptom="weak_flame_signal"),
    )  # fmt: skip

    assert SERVICED not in ends_of(fold(knowledge, history))
    with pytest.raises(NotAllowed, match="no service was planned"):
        check_event(knowledge, history, happened.Closed(end=SERVICED))


@pytest.mark.parametrize("end", ["mended_and_proven", "no_listed_cause"])
def test_a_service_without_a_fault_ends_as_nothing_else(walk, knowledge, end):
    history = walk()
    assert fold(knowledge, history).done  # cleaned because it was due

    with pytest.raises(NotAllowed, match="end it as a service"):
        check_event(knowledge, history, happened.Closed(end=end))


def test_a_fault_found_and_mended_ends_as_mended(walk, knowledge):
    history = walk(flame_rod_seen="coated", until="intake_path_seen")
    state = fold(knowledge, history)
    assert state.symptoms == ("weak_flame_signal",)
    done = [each.action for each in state.done]
    if "clean_flame_rod" not in done:
        cleaned = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")
        history = entered(knowledge, history, cleaned)
    for _ in range(60):
        item = following(plan(knowledge, fold(knowledge, history)))
        if item is None:
            break
        history = entered(knowledge, history, answer(knowledge, item))
    with pytest.raises(NotAllowed, match="more than a service"):
        check_event(knowledge, history, happened.Closed(end=SERVICED))

    closed = entered(knowledge, history, happened.Closed(end="mended_and_proven"))
    assert fold(knowledge, closed).end == "mended_and_proven"


def test_the_job_sheet_tells_the_service(after, knowledge):
    visit = after(
        happened.ServicePlanned(openings=openings_of(knowledge, "technician", USUAL)),
        happened.Found(check="mixture_high_fire", values={"o2": "5.0 %"}),
        happened.Skipped(step="gas_input_clocked", reason="no meter in reach"),
        happened.Postponed(step="leak_seen"),
        happened.Found(check="trap_seen", outcome="clean_filled"),
        happened.Proved(closing="combustion_high_fire", values={"o2": "5.4 %"}),
    )
    text = as_text(job_sheet(knowledge, visit))
    (pair,) = summarise(knowledge, visit).compared

    assert "Yearly service, no complaint" in text
    assert "no meter in reach" in text
    assert "9.0 ± 0.3 %" in pair.before  # CO2 by 5.0 % O2 of natural gas
    assert "8.8 ± 0.3 %" in pair.after
    assert refused(knowledge, visit, SERVICED)
    kinds = [entry.kind for entry in told(knowledge, visit)]
    assert {"Service", "Later", "Set aside"} <= set(kinds)


def test_the_list_of_visits_names_a_service(store, after, knowledge):
    after(happened.ServicePlanned(openings=()))
    (past,) = overview(store, knowledge)

    assert past.complaints == ("Yearly service",)


def test_a_case_may_be_a_service(knowledge):
    case = Case.model_validate({"service": ["trap_off"]})
    history = started(knowledge, case.service)
    listed = as_json(knowledge, look(knowledge, fold(knowledge, history)))["service"]

    assert {"stage": "layers", "kind": "check", "id": "trap_seen", "stands": "open"} in listed
    assert not [entry for entry in listed if entry["stands"] == DONE]

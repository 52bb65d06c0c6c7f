"""The visit in words: starting, entries, other steps, reasons, the list and the summary."""

import pytest

from engine import explain, safety
from engine.errors import SightportError
from engine.knowledge.before import minutes_to_prove
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.overview import UNREADABLE, overview
from engine.visit.reasons import (
    bystanders,
    for_and_against,
    in_hundred,
    leads_to,
    on_suspicion,
    why,
    why_closing,
)
from engine.visit.starting import start
from engine.visit.steps import all_others, ranked, taken
from engine.visit.summary import STAYS_OPEN, refused, summarise
from engine.visit.taking import check_event
from engine.visit.told import danger_entry, latest, minutes_spent, told

LOST = happened.SymptomReported(symptom="flame_lost_after_lighting")
COATED = happened.Found(check="flame_rod_seen", outcome="coated")
CLEANED = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")


# ------------------------------------------------------------------ starting


@pytest.mark.parametrize(
    "wrong",
    [
        {"facts": {"altitude": "30 km"}},
        {"facts": {"rated_input": "much"}},
        {"contexts": ["no_such_thing"]},
        {"suspected": "no_such_cause"},
        {"symptoms": ["gas_smell", "locks_out_no_flame"]},
    ],
)
def test_a_start_that_is_refused_leaves_no_visit(store, knowledge, wrong):
    with pytest.raises(SightportError):
        start(store, knowledge, "technician", **{"symptoms": ["locks_out_no_flame"], **wrong})

    assert keeping.listed(store) == ()


def test_a_start_leaves_out_what_is_not_known(store, knowledge):
    visit = start(
        store, knowledge, "technician", symptoms=["locks_out_no_flame"],
        facts={"fuel": "propane", "altitude": "  "},
    )  # fmt: skip

    assert keeping.read(store, knowledge, visit).state.facts == {"fuel": "propane"}


# ------------------------------------------------------------------ entries


def test_entries_are_told_newest_first_without_those_replaced(after, knowledge):
    clean = happened.Found(check="flame_rod_seen", outcome="clean")
    visit = after(LOST, COATED, happened.Noted(text="rain"), clean)

    assert [(e.kind, e.number) for e in told(knowledge, visit)] == [
        ("Found", 5), ("Note", 4), ("Complaint", 2),
    ]  # fmt: skip


def test_an_answer_from_before_a_repair_cannot_be_given_again(after, knowledge):
    """The boiler it spoke of is no more; it can only be taken back."""
    before, later = after(LOST, COATED), after(LOST, COATED, CLEANED)

    assert [e.check for e in told(knowledge, before) if e.kind == "Found"] == ["flame_rod_seen"]
    assert [e.check for e in told(knowledge, later) if e.kind == "Found"] == [None]


def test_the_entry_that_stops_a_visit_is_found(after, knowledge):
    visit = after(LOST, COATED, happened.Found(check="start_sequence", outcome="bang"))

    assert danger_entry(knowledge, visit).step == "start_sequence"


def test_the_last_answer_is_told_with_what_it_means(after, knowledge):
    means = knowledge.checks["flame_rod_seen"].outcomes["coated"].means

    assert latest(knowledge, after(LOST)) == ("", ())
    assert latest(knowledge, after(LOST, COATED))[1][-1] == means
    kind, lines = latest(knowledge, after(LOST, COATED, happened.Skipped(step="flame_current")))
    assert (kind, lines) == ("Set aside", ("Measure the flame current",))


def test_a_visit_without_danger_has_no_such_entry(after, knowledge):
    assert danger_entry(knowledge, after(LOST, COATED)) is None


def test_minutes_count_each_step_and_each_opening_once(after, knowledge):
    """By hand: the rod's own look, and every layer on the way to it, once for two looks."""
    checks, access = knowledge.checks, knowledge.access
    layers = safety.opened_for(knowledge, "checks", "flame_rod_seen")
    opening = sum(access[name].open_minutes for name in layers)
    visit = after(LOST, COATED, COATED)

    assert minutes_spent(knowledge, after(LOST)) == 0
    assert minutes_spent(knowledge, visit) == 2 * checks["flame_rod_seen"].minutes + opening


# ------------------------------------------------------------------ steps and reasons


def test_every_offered_step_is_allowed_and_named_once(after, knowledge):
    for who in ("caller", "technician_no_gas", "technician"):
        visit = after(LOST, who=who)
        offers = ranked(knowledge, visit)
        every = (*offers, *all_others(knowledge, visit.state, offers))
        steps = [(o.kind, o.id) for o in every if o.kind in ("check", "action")]
        assert all(safety.allowed(knowledge, who, f"{kind}s", name) for kind, name in steps)
        assert len({(o.kind, o.id, o.cause) for o in every}) == len(every)


def test_a_repair_must_be_proven_before_other_steps_are_ranked(after, knowledge):
    visit = after(LOST, COATED, CLEANED)

    kinds = [offer.kind for offer in ranked(knowledge, visit)]
    assert kinds[: len(visit.view.still_open)] == ["proof"] * len(visit.view.still_open)


def test_any_check_can_be_taken_with_its_cautions(after, knowledge):
    visit = after(LOST)
    offers = ranked(knowledge, visit)
    for offer in all_others(knowledge, visit.state, offers):
        step = taken(knowledge, visit, offer.kind, offer.id)
        spoken = safety.cautions(knowledge, f"{offer.kind}s", offer.id)
        assert step.cautions == tuple(knowledge.cautions[name].says for name in spoken)


def test_a_sign_of_the_cause_speaks_for_it_and_its_absence_against_it(after, knowledge):
    clean = happened.Found(check="flame_rod_seen", outcome="clean")
    for finding, side in ((COATED, 0), (clean, 1)):
        thought = after(LOST, finding).view.thought
        sentences = for_and_against(knowledge, thought, "flame_rod_coated")
        assert sentences[side]
        assert not sentences[1 - side]


def test_a_suspicion_outside_the_complaint_is_said_to_be(after, knowledge):
    """A propane tank on a boiler that burns natural gas explains nothing."""
    visit = after(happened.FactStated(fact="fuel", value="natural_gas"), LOST)

    assert "not listed" in on_suspicion(knowledge, visit, "propane_tank_empty")[0]


def test_the_chances_of_all_answers_are_told_for_each_answer(after, knowledge):
    lines = leads_to(knowledge, after(LOST), "flame_rod_seen")

    assert [answer for answer, _ in lines] == [
        outcome.says for outcome in knowledge.checks["flame_rod_seen"].outcomes.values()
    ]


def test_a_fault_that_may_only_stand_beside_the_cause_is_told_apart(store, knowledge, after):
    """A dirty venturi is found; how likely it is there, and how likely it brought the complaint."""
    locks_out = happened.SymptomReported(symptom="locks_out_no_flame")
    dirty = happened.Found(check="venturi_and_hose_seen", outcome="venturi_dirty")
    rich = happened.Found(check="mixture_high_fire", outcome="rich")
    view = after(locks_out, dirty, rich).view
    name = knowledge.causes["venturi_fouled"].name
    (said,) = [line for line in bystanders(view) if line.startswith(name)]
    present = next(s.probability for s in view.suspects if s.cause == "venturi_fouled")
    aims = explain.aims(view.thought.belief, knowledge, "clean_venturi")
    works = knowledge.probability(knowledge.causes["venturi_fouled"].mended_by["clean_venturi"])
    brought = dict(aims.causes)["venturi_fouled"] / works
    assert brought < present - 0.15
    assert f"{in_hundred(present)} that it is so" in said
    assert f"{in_hundred(brought)} that it is to blame" in said
    assert not bystanders(after(locks_out).view)


def test_a_step_says_its_minutes_and_a_closing_step_what_obliges_it(after, knowledge):
    visit = after(LOST, COATED)
    assert any("minutes" in line for line in why(knowledge, visit, visit.view.next))

    repaired = after(LOST, COATED, CLEANED)
    reasons = " ".join(why_closing(knowledge, repaired, "new_flame_rod_gasket"))
    assert knowledge.access["flame_rod_out"].name in reasons


# ------------------------------------------------------------------ the end


@pytest.mark.parametrize(
    ("complaint", "check", "outcome", "action"),
    [
        ("locks_out_no_flame", "igniter_seen", "wet", "replace_igniter"),
        ("weak_flame_signal", "flame_rod_seen", "coated", "clean_flame_rod"),
    ],
)
def test_a_repair_of_ones_own_choice_is_meant_for_what_justifies_it(
    after, knowledge, complaint, check, outcome, action
):
    seen = happened.Found(check=check, outcome=outcome)
    visit = after(happened.SymptomReported(symptom=complaint), seen)

    step = taken(knowledge, visit, "action", action)

    meant = happened.ActionDone(action=action, cause=step.cause)
    assert step.cause
    check_event(knowledge, visit.history, meant)  # it is not refused


def test_what_was_wrong_is_judged_by_what_was_known_before_the_repair(after, knowledge):
    before = summarise(knowledge, after(LOST, COATED))
    repaired = summarise(knowledge, after(LOST, COATED, CLEANED))

    assert before.wrong[0].startswith("First suspect: Flame rod coated.")
    assert repaired.wrong[0].startswith("Flame rod coated.")
    assert repaired.wrong[1] == before.wrong[1].replace("so far", "before the repair")
    assert repaired.speaks_for == before.speaks_for


def test_a_passed_proof_that_settles_little_is_said_to(after, knowledge):
    """A topped-up boiler runs again whatever let the water out; a cleaned rod holds."""
    low = happened.SymptomReported(symptom="low_water_pressure")
    empty = happened.Found(check="system_pressure_gauge", values={"pressure": "0.2 bar"})
    filled = happened.ActionDone(action="top_up_pressure", cause="system_pressure_lost")
    full = happened.Proved(closing="system_pressure_set", values={"pressure": "1.3 bar"})
    runs = happened.Proved(closing="runs_on", words="lit by itself, ten minutes")
    holds = happened.Found(check="pressure_over_days", outcome="holds")
    dry = happened.Found(check="leak_seen", outcome="dry")
    visit = after(low, empty, holds, dry, filled, full, runs, who="caller")
    assert visit.view.still_open == ()
    assert visit.view.mended < 0.6
    assert STAYS_OPEN in summarise(knowledge, visit).wrong
    assert STAYS_OPEN not in summarise(knowledge, after(LOST, COATED, CLEANED)).wrong


def test_of_two_repairs_before_one_proof_the_likelier_was_wrong_and_both_are_said(after, knowledge):
    renewed = happened.ActionDone(action="replace_sense_lead", cause="sense_lead_faulty")
    assert "replace_sense_lead" in knowledge.causes["sense_lead_faulty"].mended_by
    before = summarise(knowledge, after(LOST, COATED))

    summary = summarise(knowledge, after(LOST, COATED, CLEANED, renewed))

    assert summary.wrong[:2] == (
        before.wrong[0].removeprefix("First suspect: "),
        before.wrong[1].replace("so far", "before the repair"),
    )
    assert knowledge.causes["sense_lead_faulty"].name in summary.wrong[2]
    assert "does not tell which" in summary.wrong[2]
    failed = happened.Proved(closing="five_starts", words="the third died", failed=True)
    one_by_one = summarise(knowledge, after(LOST, COATED, CLEANED, failed, renewed))
    assert one_by_one.wrong[0].startswith(knowledge.causes["sense_lead_faulty"].name)
    assert not any("does not tell" in sentence for sentence in one_by_one.wrong)


def test_what_was_found_wrong_and_not_mended_is_left_in_writing(after, knowledge):
    clogged = happened.Found(check="neutraliser_seen", outcome="clogged")
    name = knowledge.checks["neutraliser_seen"].name

    assert summarise(knowledge, after(LOST, COATED, clogged)).left == ()
    (left,) = summarise(knowledge, after(LOST, COATED, clogged, CLEANED)).left
    assert left.startswith(f"{name}: ")
    renewed = happened.ActionDone(action="renew_neutraliser_media", cause="neutraliser_clogged")
    assert summarise(knowledge, after(LOST, COATED, clogged, CLEANED, renewed)).left == ()
    clear = happened.Found(check="neutraliser_seen", outcome="flows")
    assert clear.outcome == knowledge.checks["neutraliser_seen"].healthy
    assert summarise(knowledge, after(LOST, COATED, clogged, CLEANED, clear)).left == ()


def test_what_is_found_wrong_after_its_repair_is_left_in_writing(after, knowledge):
    died = happened.Proved(closing="five_starts", words="the third died", failed=True)
    name = knowledge.checks["flame_rod_seen"].name

    (left,) = summarise(knowledge, after(LOST, COATED, CLEANED, died, COATED)).left

    assert left.startswith(f"{name}: ")


def test_of_two_repairs_with_a_passed_proof_between_the_first_was_it(after, knowledge):
    passed = happened.Proved(closing="five_starts", words="five of five")
    renewed = happened.ActionDone(action="replace_sense_lead", cause="sense_lead_faulty")

    wrong = summarise(knowledge, after(LOST, COATED, CLEANED, passed, renewed)).wrong

    assert wrong[0].startswith("Flame rod coated.")
    assert not any("does not tell" in sentence for sentence in wrong)


def test_a_complaint_that_was_put_right_after_the_repair_is_the_one_that_counts(after, knowledge):
    locks_out = happened.SymptomReported(symptom="locks_out_no_flame")
    visit = after(locks_out, COATED, CLEANED, happened.TakenBack(event=2), LOST)

    assert summarise(knowledge, visit).wrong[0].startswith("Flame rod coated.")


def test_what_was_only_handed_over_is_not_called_mended(after, knowledge):
    weak = happened.Found(check="inlet_gas_pressure_running", outcome="low")
    cause = "gas_supply_undersized"
    over = happened.ActionDone(action="refer_to_gas_supplier", cause=cause)
    assert "refer_to_gas_supplier" in knowledge.causes[cause].mended_by

    wrong = summarise(knowledge, after(LOST, weak, over)).wrong

    assert "It waits for somebody else to mend it." in wrong
    assert not any("is mended" in sentence for sentence in wrong)


def test_a_repair_taken_back_counts_no_more(after, knowledge):
    summary = summarise(knowledge, after(LOST, COATED, CLEANED, happened.TakenBack(event=4)))

    assert summary.done == ()
    assert summary.wrong[0].startswith("First suspect:")


def test_a_check_made_on_both_sides_of_a_repair_is_compared(after, knowledge):
    weak = happened.Found(check="flame_current", values={"current": "1.2 uA"})
    good = happened.Found(check="flame_current", values={"current": "7 uA"})
    (pair,) = summarise(knowledge, after(LOST, weak, COATED, CLEANED, good)).compared

    assert "1.2 ± 0.2 µA" in pair.before
    assert "7.0 ± 0.2 µA" in pair.after


def test_parts_are_those_of_the_repair_that_was_made(after, knowledge):
    summary = summarise(knowledge, after(LOST, COATED, CLEANED))

    wanted = knowledge.actions["clean_flame_rod"].parts
    assert summary.parts == tuple(f"{p.count} × {p.part}" for p in wanted)


def test_each_end_is_refused_with_its_reason_or_allowed(after, knowledge):
    visit = after(LOST)

    assert "no repair was entered" in refused(knowledge, visit, "mended_and_proven")
    assert "no danger sign" in refused(knowledge, visit, "stopped_for_danger")
    assert refused(knowledge, visit, "made_safe_and_referred") is None
    assert refused(knowledge, visit, "no_listed_cause") is None


def test_the_list_of_visits_names_complaint_and_end(store, after, knowledge):
    after(LOST)
    after(LOST, happened.Closed(end="no_listed_cause"))

    first, second = overview(store, knowledge)
    assert (first.stands, second.stands) == ("No listed cause", "Open")
    assert first.complaints == (knowledge.symptoms["flame_lost_after_lighting"].name,)


def test_a_step_that_the_ranking_left_out_takes_its_own_minutes_and_those_of_opening(
    after, knowledge
):
    """And those of what closing again obliges, as a ranked step does."""
    visit = after(LOST)
    others = all_others(knowledge, visit.state, ranked(knowledge, visit))
    actions = [offer.id for offer in others if offer.kind == "action"]

    assert any(knowledge.actions[name].price for name in actions)
    for name in actions:
        step = taken(knowledge, visit, "action", name)
        layers = [knowledge.access[layer] for layer in step.to_open]
        opening = sum(layer.open_minutes + layer.close_minutes for layer in layers)
        obliged = {closing for layer in layers for closing in layer.closing}
        proving = sum(  # what stands at the end of every repair belongs to its proof
            minutes_to_prove(knowledge, closing)
            for closing in obliged
            if not knowledge.closing[closing].always
        )
        before = sum(knowledge.checks[c].minutes for c in knowledge.actions[name].only_after)
        by_hand = knowledge.actions[name].minutes + before + opening + proving
        assert step.minutes == pytest.approx(by_hand), name
        offered = next(offer for offer in others if offer.id == name)
        assert offered.minutes == pytest.approx(by_hand), name


def test_a_visit_of_another_version_does_not_hide_the_others(after, store, knowledge):
    good = after(LOST)
    strange = store.begin("from elsewhere", knowledge.version)
    store.append(strange, {"kind": "no_such_event"})

    stands = {visit.id: visit.stands for visit in overview(store, knowledge)}

    assert stands[strange] == UNREADABLE
    assert stands[good.id] != UNREADABLE

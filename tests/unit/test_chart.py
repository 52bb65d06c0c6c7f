"""The fault path chart: it says what a visit says, stops at danger, and holds its bounds."""

import re
from collections import Counter

import pytest

from engine import safety, units
from engine.belief.observers import reliability
from engine.errors import NotAllowed, UnreadableValue
from engine.knowledge.facts import band_edges
from engine.visit import chart_words, keeping
from engine.visit import events as happened
from engine.visit.chart import Setup, begun, compile_chart
from engine.visit.chart_cut import CHECK_WORTH, cut
from engine.visit.chart_text import as_text
from engine.visit.chart_tree import ENDED, ON, RARE, REFER, REPAIR, STOP, End, Step
from engine.visit.starting import start
from engine.visit.state import fold
from engine.visit.view import look
from tests.charts import HEARD, SETUPS, answered, ends, shipped, toy, toy_chart


@pytest.fixture(params=SETUPS)
def chart(request):
    return shipped(request.param)


# ------------------------------------------------------------------ it says what a visit says


def visit_of(store, knowledge, setup, given):
    """A visit begun and answered as a person would, through the stored events."""
    visit = start(store, knowledge, setup.who, "", setup.symptoms, setup.facts, setup.contexts)
    for name, outcome in given:
        keeping.record(store, knowledge, visit, happened.Found(check=name, outcome=outcome))
    return keeping.read(store, knowledge, visit).view


def test_each_place_is_what_a_visit_with_the_same_answers_is_told(store, knowledge, chart):
    looked_at = 0
    for place, given in answered(chart):
        if isinstance(place, End) and place.kind == RARE:
            continue
        view = visit_of(store, knowledge, chart.setup, given)
        looked_at += 1
        if isinstance(place, Step):
            told = ("check", place.check, place.minutes, place.cautions)
            assert told == (view.next.kind, view.next.id, view.next.minutes, view.next.cautions)
        elif place.kind == STOP:
            assert view.status == "stop"
            assert place.do == view.danger.advice
        elif place.kind == REFER:
            assert view.status == "refer"
        elif place.kind == REPAIR:
            told = (place.action, place.cause, place.cautions)
            assert told == (view.next.id, view.next.cause, view.next.cautions)
            assert place.prove == tuple(knowledge.closing[c].name for c in view.closing)
        else:
            told = (place.kind, place.onward, place.cautions)
            assert told == (ON, view.next.name, view.next.cautions)
            assert place.prove == tuple(knowledge.closing[c].name for c in view.still_open)
        shown = [(s.cause, s.probability) for s in view.suspects]
        assert [(s.cause, s.probability) for s in place.suspects[:3]] == shown[
            : len(place.suspects[:3])
        ]
    assert looked_at


def test_a_repair_is_not_proven_without_what_it_obliges(knowledge):
    """`verify` of the action, what stands at the end of every repair, and what was opened."""
    repairs = [(p, g) for p, g in answered(shipped("leak")) if getattr(p, "kind", "") == REPAIR]
    assert repairs
    for place, given in repairs:
        obliged = set(knowledge.actions[place.action].verify)
        obliged |= {name for name, entry in knowledge.closing.items() if entry.always}
        for name, _ in given:
            for layer in safety.opened_for(knowledge, "checks", name):
                obliged |= set(knowledge.access[layer].closing)
        possible = {c for c in obliged if safety.possible(knowledge, {}, "closing", c)}
        assert {knowledge.closing[c].name for c in possible} <= set(place.prove)


def test_the_chances_of_a_check_sum_to_one_and_make_up_the_reach(chart):
    for step in chart.steps():
        assert sum(answer.chance for answer in step.answers) == pytest.approx(1, abs=1e-9)
        for answer in step.answers:
            assert answer.then.reach == pytest.approx(step.reach * answer.chance, rel=1e-9)
    assert sum(end.reach for end in ends(chart)) == pytest.approx(1, abs=1e-9)
    inside = sum(end.reach for end in ends(chart) if end.kind in ENDED)
    assert chart.ended == pytest.approx(inside)


def test_no_step_is_offered_that_this_person_may_not_do(knowledge, chart):
    who = chart.setup.who
    for step in chart.steps():
        assert safety.allowed(knowledge, who, "checks", step.check)
    for end in ends(chart):
        if end.kind == REPAIR:
            assert safety.allowed(knowledge, who, "actions", end.action)


def test_a_caller_is_told_of_nothing_behind_a_cover(knowledge):
    for place in shipped("caller").places():
        opened = [a.name for a in knowledge.access.values() if a.kind == "opened"]
        assert not set(place.first) & set(opened)


# ------------------------------------------------------------------ danger


def test_every_danger_answer_ends_in_stop_with_its_words(knowledge, chart):
    for step in chart.steps():
        for answer in step.answers:
            danger = knowledge.checks[step.check].outcomes[answer.outcome].danger
            assert answer.danger == (danger is not None)
            if danger:
                then = answer.then
                assert then.kind == STOP
                assert (then.do, then.do_not) == (danger.advice, danger.do_not)
                assert then.who_acts == danger.who_acts


def test_a_danger_sign_as_complaint_is_all_of_its_chart(knowledge):
    chart = compile_chart(knowledge, Setup(("gas_smell",)))

    assert chart.steps() == ()
    assert chart.root.kind == STOP
    assert chart.ended == 1
    assert chart.root.do == knowledge.symptoms["gas_smell"].danger.advice


# ------------------------------------------------------------------ a chart of a few lines


def kinds_of(chart):
    """Kinds of the ends by the answers that lead to them."""
    return {given: place.kind for place, given in answered(chart) if isinstance(place, End)}


def test_a_danger_is_followed_however_rare_it_is():
    """A bang comes once in ten; nothing but the way to it is followed by a chart this coarse."""
    kinds = kinds_of(toy_chart(least_chance=0.5))

    assert {k for given, k in kinds.items() if given[-1][1] == "bang"} == {STOP}
    assert RARE in kinds.values()


def test_the_chances_are_those_of_the_check():
    """Worked by hand: a sound boiler is quiet 8 times in 10 and bangs once; loose halves the
    quiet, for P(quiet | loose) = 0.8 * 0.5, and leaves the bang alone. An unlisted cause upsets
    the check once in ten and any of three outcomes comes then: quiet 0.8 * (0.9 + 0.1 / 3), bang
    1 - 0.9 * (0.9 + 0.2 / 3) = 0.13. Both at once are rare enough to be left out.
    """
    known = toy()
    view = look(known, fold(known, begun(known, Setup(("no_heat",)))))
    loose = next(s.probability for s in view.suspects if s.cause == "loose")
    unlisted = view.none_of_these
    quiet = 0.8 - 0.4 * loose - (0.8 - 0.8 * (0.9 + 0.1 / 3)) * unlisted
    bang = 0.1 + 0.03 * unlisted

    chances = {answer.outcome: answer.chance for answer in toy_chart().root.answers}
    assert chances == pytest.approx(
        {"quiet": quiet, "bang": bang, "hum": 1 - quiet - bang}, abs=5e-4
    )


def test_suspicion_before_a_check_is_the_mean_of_that_after_it():
    """The law of total probability, over the answers as this person reports them: an answer is
    right with the observer's reliability, else any of them. What stands beside the chief cause is
    brought in with the first finding that bears on it, so that it holds to a hundredth or two.
    """
    known, setup = toy(dangerous=False), Setup(("no_heat",))
    root = compile_chart(known, setup, depth=1).root
    sure = reliability(known, root.check, setup.who)
    history = begun(known, setup)
    mean = Counter()
    for answer in root.answers:
        reported = sure * answer.chance + (1 - sure) / len(root.answers)
        found = happened.Found(check=root.check, outcome=answer.outcome)
        after = look(known, fold(known, (*history, (len(history) + 1, found))))
        mean.update({s.cause: reported * s.probability for s in after.suspects})

    before = look(known, fold(known, history)).suspects
    assert mean == pytest.approx({s.cause: s.probability for s in before}, abs=0.02)


def test_a_chart_is_no_deeper_than_asked():
    for depth in (1, 2, 3):
        chart = toy_chart(depth=depth)
        assert max(len(given) for _, given in answered(chart)) == depth
    cut_short = [p for p in ends(toy_chart(depth=1)) if p.kind == ON]
    assert {p.says for p in cut_short} == {"As deep as this chart goes"}


def test_a_chart_holds_no_more_steps_than_asked():
    for most in (1, 2, 3):
        chart = toy_chart(places=most)
        assert len(chart.steps()) == most
        full = [p for p in ends(chart) if p.kind == ON]
        assert {p.says for p in full} == {"No room left in this chart"}
        assert all(p.onward in HEARD for p in full)
    assert len(toy_chart(places=60).steps()) == 4


def test_the_likeliest_places_are_worked_out_first():
    """Of four steps two: the one after the likeliest answer, at every size."""
    whole = sorted(step.reach for step in toy_chart().steps())
    cut = sorted(step.reach for step in toy_chart(places=2).steps())

    assert cut == pytest.approx(whole[-2:])


def test_what_is_rarer_than_asked_is_said_in_one_line_and_not_followed():
    chart = toy_chart(least_chance=0.5)
    rare = [p for p in ends(chart) if p.kind == RARE]
    text = re.sub(r"\s+", " ", as_text(chart).partition("Steps")[2])

    assert rare
    assert all(p.reach < 0.5 for p in rare)
    assert all(step.reach >= 0.5 for step in chart.steps())
    line = "SELDOM Fewer than 50 in 100 visits come here: go on with the tool, or ask for advice"
    assert text.count(line) == len(rare)


def test_a_check_that_leads_to_rare_answers_only_is_named_not_drawn():
    """With P(loose) = 0.475 two quiet answers come at 0.525 * 0.64 + 0.475 * 0.16 = 0.41, which is
    followed at 0.31; three at 0.525 * 0.512 + 0.475 * 0.064 = 0.30, and no other third is likelier.
    """
    chart = compile_chart(toy(dangerous=False), Setup(("no_heat",)), least_chance=0.31)
    (end,) = (place for place in ends(chart) if place.kind == ON)

    assert end.reach == pytest.approx(0.41, abs=0.01)
    assert end.says == "Every answer from here is seldom"
    assert end.onward in HEARD


def test_the_same_setup_gives_the_same_chart(knowledge):
    assert toy_chart() == toy_chart()
    setup, depth, least, places = SETUPS["caller"]
    assert compile_chart(knowledge, setup, depth, places, least) == shipped("caller")


def test_progress_is_told_to_the_end():
    told = []
    toy_chart(progress=lambda done, of: told.append((done, of)))

    assert told[0] == (0, 1)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert {done for done, _ in told} == set(range(len(toy_chart().steps()) + 1))
    assert all(done <= of for done, of in told)
    assert told[-1][0] == told[-1][1]


@pytest.mark.parametrize(
    ("setup", "depth", "error", "words"),
    [
        (Setup(()), 4, NotAllowed, "no complaint yet"),
        (Setup(("no_heet",)), 4, UnreadableValue, "write 'no_heat'"),
        (Setup(("no_heat",), who="teknician"), 4, UnreadableValue, "write 'technician'"),
        (Setup(("no_heat",), facts={"fual": "x"}), 4, UnreadableValue, "no fact 'fual'"),
        (Setup(("no_heat",), contexts=("frosst",)), 4, UnreadableValue, "write 'frost'"),
        (Setup(("no_heat",)), 0, UnreadableValue, "write 1 to 12"),
        (Setup(("no_heat",)), 13, UnreadableValue, "write 1 to 12"),
    ],
)
def test_what_cannot_be_a_chart_is_refused_in_words(setup, depth, error, words):
    with pytest.raises(error, match=words):
        compile_chart(toy(), setup, depth)


@pytest.mark.parametrize("places", [0, -1, 101])
def test_a_chart_of_no_checks_or_too_many_is_refused(places):
    with pytest.raises(UnreadableValue, match="write 1 to 100"):
        toy_chart(places=places)


# ------------------------------------------------------------------ made smaller


def subtrees(place, most):
    """Every choice of at most `most` steps that holds with each step all above it."""
    choices = [()]
    if isinstance(place, Step) and most:
        below = [()]
        for answer in place.answers:
            below = [
                (*one, *other)
                for one in below
                for other in subtrees(answer.then, most - 1 - len(one))
            ]
        choices += [(place, *chosen) for chosen in below]
    return choices


def worth(chosen):
    """Ends that the steps of a choice lead to, and a share for each check made with it."""
    reached = [a.then for step in chosen for a in step.answers]
    ended = sum(p.reach for p in reached if isinstance(p, End) and p.kind in ENDED)
    return ended + CHECK_WORTH * sum(step.reach for step in chosen)


@pytest.mark.parametrize("most", [1, 2, 3, 4, 5])
def test_a_cut_chart_keeps_the_steps_that_are_worth_most(most):
    """Against all choices there are, counted one by one."""
    for chart in (toy_chart(), shipped("leak"), shipped("no_licence")):
        best = max(worth(chosen) for chosen in subtrees(chart.root, most))
        smaller = cut(chart, most)

        assert len(smaller.steps()) == min(most, len(chart.steps()))
        assert worth(smaller.steps()) == pytest.approx(best)
        assert [step.number for step in smaller.steps()] == list(range(1, len(smaller.steps()) + 1))


def test_what_was_cut_off_is_named_with_its_cautions_and_suspects():
    whole, smaller = toy_chart(), cut(toy_chart(), 1)
    gone = {a.outcome: a.then for a in whole.root.answers if isinstance(a.then, Step)}
    now = {a.outcome: a.then for a in smaller.root.answers}

    assert gone
    for outcome, step in gone.items():
        end = now[outcome]
        told = (end.kind, end.onward, end.cautions, end.suspects, end.first, end.prove)
        assert told == (ON, step.name, step.cautions, step.suspects, step.first, step.prove)
    assert sum(end.reach for end in ends(smaller)) == pytest.approx(1)
    assert cut(whole, 100) == whole


# ------------------------------------------------------------------ figures of this boiler


def test_the_bands_are_those_of_the_boiler(knowledge):
    """0.3 µA and 5 µA stand in knowledge/flame_sensing.yaml, the least current is entered here."""
    flame = knowledge.checks["flame_current"]

    assert chart_words.bands(knowledge, {"flame_current_min": 3e-6}, flame) == {
        "none": ("below 0.3 µA", False),
        "weak": ("0.3 µA to below 3 µA", False),
        "watch": ("3 µA to below 5 µA", False),
        "solid": ("5 µA or more", False),
    }
    assert chart_words.bands(knowledge, {}, flame)["weak"][1]
    assert not chart_words.bands(knowledge, {}, flame)["none"][1]


def test_the_limit_of_a_fuel_goes_by_the_fuel(knowledge):
    """knowledge/combustion.yaml: 1 % O2 is left at 11.2 % CO2, with propane at 13.1 %."""
    mixture = knowledge.checks["mixture_high_fire"]
    limits = {
        fuel: chart_words.bands(knowledge, {"fuel": fuel}, mixture)["no_air_to_spare"][0]
        for fuel in ("natural_gas", "propane")
    }

    assert limits == {"natural_gas": "11.2 % or more", "propane": "13.1 % or more"}


BOILERS = ({}, {"fuel": "propane"}, {"co_limit": 2.5e-4, "inlet_pressure_min": 1800.0})


@pytest.mark.parametrize("facts", BOILERS, ids=["nothing known", "propane", "own limits"])
def test_every_figure_shown_is_a_limit_of_the_boiler(knowledge, facts):
    """Read back as people read them: number and unit, in the order of the bands."""
    read = 0
    for entry in knowledge.checks.values():
        if entry.reading is None:
            continue
        figure = next((f for f in entry.reading.figure if f.field), entry.reading.figure[0])
        quantity = (
            entry.reading.fields[figure.field].quantity
            if figure.field
            else knowledge.calculations[figure.calculation].quantity
        )
        edges = [edge for edge, _ in band_edges(knowledge, facts, entry, quantity)]
        shown = chart_words.bands(knowledge, facts, entry)
        for outcome, (text, _) in shown.items():
            limits = []
            for place, band in enumerate(entry.reading.bands):
                if band.outcome == outcome:
                    limits += edges[max(place - 1, 0) : place + 1] if place else edges[:1]
            figures = re.findall(r"-?[\d.]+ [^\s]+", text)
            assert [units.parse(f, quantity) for f in figures] == pytest.approx(limits, rel=5e-3)
            read += len(figures)
    assert read > 50


def test_typical_limits_are_marked_and_named_until_the_boilers_own_are_entered(knowledge):
    check_it = ["co_high_fire"]

    assert chart_words.stand_ins(knowledge, {}, check_it) == (
        "CO limit, air-free and dry: 400 ppm",
    )
    assert chart_words.stand_ins(knowledge, {"co_limit": 2.5e-4}, check_it) == ()

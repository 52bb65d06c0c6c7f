"""Figures of a boiler over its visits. The boiler and its visits are invented."""

import pytest

from engine.records import cards
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.trends import FOUND, LEFT, trends


@pytest.fixture
def boiler(store):
    return cards.add_boiler(store, "Cellar")


def visit(store, knowledge, boiler, *events):
    number = keeping.begin(store, knowledge, "technician")
    keeping.record(store, knowledge, number, happened.SymptomReported(symptom="weak_flame_signal"))
    for event in events:
        keeping.record(store, knowledge, number, event)
    store.place(number, boiler)
    return number


def current(value):
    return happened.Found(check="flame_current", values={"current": value})


CLEANED = [
    happened.Found(check="flame_rod_seen", outcome="coated"),
    happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated"),
]


def test_as_found_and_as_left_stand_in_the_order_of_the_visits(store, knowledge, boiler):
    first = visit(store, knowledge, boiler, current("5.2 µA"))
    second = visit(store, knowledge, boiler, current("2.1 µA"), *CLEANED, current("5.0 µA"))

    (trend, *_) = trends(store, knowledge, boiler)

    assert trend.check == "flame_current"
    assert [(p.visit, p.stands) for p in trend.points] == [
        (first, FOUND), (second, FOUND), (second, LEFT),
    ]  # fmt: skip
    assert [p.value for p in trend.points] == pytest.approx([5.2, 2.1, 5.0])
    assert [p.value_si for p in trend.points] == pytest.approx([5.2e-6, 2.1e-6, 5.0e-6])
    assert trend.unit == "µA"
    assert trend.words.startswith("Down from 5.20 µA to 5.00 µA since ")


def test_the_limit_of_the_sheet_is_the_limit_of_the_trend(store, knowledge, boiler):
    fact = next(
        band.below.fact
        for band in knowledge.checks["flame_current"].reading.bands
        if band.below and band.below.fact
    )
    visit(store, knowledge, boiler, happened.FactStated(fact=fact, value="3.3 µA"), current("5 µA"))

    (trend, *_) = trends(store, knowledge, boiler)

    assert 3.3 in [pytest.approx(number) for _, number in trend.limits]
    assert "typical" not in trend.needs


def test_the_figure_after_an_undo_is_no_point(store, knowledge, boiler):
    number = visit(store, knowledge, boiler, current("5 µA"), current("1 µA"))
    keeping.undo(store, knowledge, number)

    (trend, *_) = trends(store, knowledge, boiler)

    assert [p.value for p in trend.points] == pytest.approx([5.0])
    assert trend.words == "Read in one visit so far: 5.00 µA."


def test_other_boilers_and_strange_visits_are_left_out(store, knowledge, boiler):
    other = cards.add_boiler(store, "Loft")
    visit(store, knowledge, other, current("9 µA"))
    strange = store.begin("", "other")
    store.append(strange, {"kind": "found", "check": "no_such_check", "outcome": "odd"})
    store.place(strange, boiler)

    assert trends(store, knowledge, boiler) == ()
    assert len(trends(store, knowledge, other)) >= 1

"""Fault paths on the screen: a complaint's chart walked, its map, and what can go wrong."""

import pytest

from engine.visit import chart_words, fault_map
from engine.visit.chart_tree import ON, Step
from tests.app.pages import press, shown, unescaped
from tests.charts import SETUPS, answered, shipped

SETUP, DEPTH, _, PLACES = SETUPS["leak"]
ADDRESS = {
    "complaint": SETUP.symptoms[0],
    "who": SETUP.who,
    "depth": str(DEPTH),
    "places": str(PLACES),
    "fact": [f"{name}={value}" for name, value in SETUP.facts.items()],
}


@pytest.fixture
def page(open_page):
    """The page at an address."""

    def opened(**address):
        app = open_page("paths")
        for name, value in address.items():
            app.query_params[name] = value
        return app.run()

    return opened


def walked(page, given):
    """The page where some answers were given, by the address as another tab would open it."""
    return page(**ADDRESS, at=[outcome for _, outcome in given])


# ------------------------------------------------------------------ choosing


def test_the_page_is_linked_from_the_first_page(open_page):
    assert "Fault paths" in [link.proto.label for link in open_page().get("page_link")]


def test_a_complaint_is_asked_for_first(page):
    app = press(page(), "Work out the paths")

    assert app.error[0].value == "Choose a complaint first."
    assert not app.header


def test_a_chosen_complaint_is_worked_out_with_its_facts(page, knowledge):
    app = page()
    name = knowledge.symptoms[SETUP.symptoms[0]].name
    app.selectbox(key="paths_complaint").select(name)
    app.pills(key="paths_depth").select(DEPTH)
    app.pills(key="paths_places").select(10)
    app.toggle(key="paths_guess_first").set_value(False)
    app.pills(key="paths_fuel").select("natural_gas")
    app = press(app, "Work out the paths")

    assert not app.exception
    assert app.query_params["complaint"] == SETUP.symptoms[0]
    assert unescaped(app.header[0].value) == f"1  {shipped('leak').root.name}"
    assert "Fuel: Natural gas" in shown(app)


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ({"complaint": "no_heat"}, "There is no complaint 'no_heat'"),
        ({"complaint": "gas_smell", "who": "plumber"}, "Nobody is called 'plumber' here"),
        ({"complaint": "gas_smell", "depth": "99"}, "99 checks deep is not possible"),
        ({"complaint": "gas_smell", "depth": "-1"}, "'-1' is no number of checks"),
        ({"complaint": "gas_smell", "places": "999"}, "chart of 999 checks is not possible"),
        ({"complaint": "gas_smell", "places": "many"}, "'many' is no number of checks"),
        ({"complaint": "gas_smell", "depth": "٣"}, "is no number of checks"),
        ({"complaint": "gas_smell", "fact": ["fuel=coal"]}, "'coal' is no choice"),
        ({"complaint": "gas_smell", "fact": ["fuel"]}, "'fuel' has no value"),
        ({"complaint": "<b>x</b>"}, "There is no complaint '<b>x</b>'"),
    ],
)
def test_an_address_that_names_no_chart_is_explained(page, address, words):
    app = page(**address)

    assert not app.exception
    assert words in unescaped(app.error[0].value).replace("&lt;", "<").replace("&gt;", ">")
    again = press(app, "Choose another chart")
    assert not again.query_params
    assert not again.error


# ------------------------------------------------------------------ walking


def test_every_place_of_the_chart_is_shown_as_it_is(page):
    """By the address, as a tab opened again finds it; of each kind of end the first."""
    places = list(answered(shipped("leak")))
    kinds = {getattr(place, "kind", place): (place, given) for place, given in reversed(places)}
    assert ON in kinds
    for place, given in kinds.values():
        app = walked(page, given)
        text = shown(app)

        assert not app.exception
        if isinstance(place, Step):
            assert unescaped(app.header[0].value) == f"{place.number}  {place.name}"
            for answer in place.answers:
                labels = [unescaped(b.label) for b in app.button]
                assert chart_words.answer_words(answer) in labels or answer.danger
        else:
            assert place.says.removeprefix("Stop: ") in text
            assert place.onward in text
        cautions = [c.partition(". ")[0] for c in place.cautions]
        assert all(c in text for c in cautions)


def test_the_caution_stands_before_the_question_and_the_question_before_the_answers(page):
    steps = ((p, given) for p, given in answered(shipped("leak")) if isinstance(p, Step))
    place, given = next((p, given) for p, given in steps if p.cautions)
    text = shown(walked(page, given))

    assert text.index(place.cautions[0].partition(". ")[0]) < text.index(place.asks)


def test_where_the_chart_ends_it_says_what_is_likeliest_and_what_comes_next(page):
    found = [(p, given) for p, given in answered(shipped("leak")) if getattr(p, "kind", "") == ON]
    place, given = next((p, given) for p, given in found if p.cautions)
    text = shown(walked(page, given))

    assert chart_words.suspects_words(place.suspects) in text
    assert chart_words.GO_ON in text
    caution = text.index(place.cautions[0].partition(". ")[0])
    assert caution < text.index(f"**Next check:** {place.onward}")


def test_a_guess_is_asked_before_the_step_is_shown_and_judged_after(page):
    root = shipped("leak").root
    app = page(**ADDRESS, guess="first")
    offered = [unescaped(b.label) for b in app.button if (b.key or "").startswith("paths_guess_")]

    assert app.header[0].value == "What would you do next?"
    assert root.name in offered
    assert root.asks not in shown(app)
    wrong = next(name for name in offered if name not in (root.name, "Show me"))
    missed = press(app, wrong)
    assert unescaped(missed.header[0].value) == f"1  {root.name}"
    assert f"You said: {wrong}. A visit is told: {root.name}." in shown(missed)

    app = press(page(**ADDRESS, guess="first"), root.name)
    assert unescaped(app.success[0].value) == f"You said the same: {root.name}."


def test_nobody_has_to_guess(page):
    app = press(page(**ADDRESS, guess="first"), "Show me")

    assert unescaped(app.header[0].value) == f"1  {shipped('leak').root.name}"
    assert "You said" not in shown(app)


def test_a_danger_never_waits_for_a_guess(page):
    app = page(complaint="gas_smell", guess="first")

    assert unescaped(app.title[1].value) == "STOP: Smell of gas"
    assert not app.header


def test_an_answer_leads_on_and_back(page):
    chart = shipped("leak")
    answer = next(a for a in chart.root.answers if isinstance(a.then, Step))
    app = walked(page, ())
    app = app.button(key=f"paths_1_{answer.outcome}").click().run()

    assert app.query_params["at"] == answer.outcome
    assert unescaped(app.header[0].value) == f"{answer.then.number}  {answer.then.name}"
    assert answer.means in shown(app)
    assert [unescaped(b.label) for b in app.button if b.key == "paths_way_0"] == [
        f"1. {chart.root.name}: {answer.says}"
    ]
    back = press(app, "Back one answer")
    assert unescaped(back.header[0].value) == f"1  {chart.root.name}"


def test_the_way_so_far_leads_back_to_each_of_its_steps(page):
    chart = shipped("leak")
    given = max((given for _, given in answered(chart)), key=len)
    assert len(given) == DEPTH
    app = walked(page, given)
    app = app.button(key="paths_way_1").click().run()

    assert app.query_params["at"] == given[0][1]
    first = press(walked(page, given), "Back to the first step")
    assert unescaped(first.header[0].value) == f"1  {chart.root.name}"


def test_the_suspects_are_told_before_and_after_in_words(page):
    chart = shipped("leak")
    answer = next(a for a in chart.root.answers if a.then.suspects)
    text = shown(walked(page, ((chart.root.check, answer.outcome),)))
    was = {s.cause: s.word for s in chart.root.suspects}

    for suspect in answer.then.suspects:
        old = was.get(suspect.cause, "not among the first")
        change = "as before" if old == suspect.word else f"before: {old}"
        assert f"{suspect.name}: {suspect.word}, {change}" in text


def test_answers_that_are_none_of_the_chart_are_left_out(page):
    app = page(**ADDRESS, at=["no_such_answer", "<script>"])

    assert not app.exception
    assert unescaped(app.header[0].value) == f"1  {shipped('leak').root.name}"


def test_a_danger_sign_stands_alone_with_its_words(page, knowledge):
    app = page(complaint="gas_smell")
    danger = knowledge.symptoms["gas_smell"].danger

    assert unescaped(app.title[1].value) == "STOP: Smell of gas"
    for line in (*danger.advice, *danger.do_not, danger.who_acts):
        assert line in shown(app)
    assert not app.header


def test_what_the_chart_was_made_for_is_on_the_page(page):
    text = shown(walked(page, ()))

    for line in chart_words.made_for(shipped("leak"))[:3]:
        assert line in text
    assert chart_words.NO_SUBSTITUTE in text
    assert chart_words.danger_line(shipped("leak")) in text


def test_picture_and_files_are_at_hand(page):
    app = walked(page, ())

    assert [b.proto.label for b in app.get("download_button")] == [
        "PDF for the toolbox", "The same as text",
    ]  # fmt: skip
    (picture,) = app.get("graphviz_chart")
    assert shipped("leak").root.name.split()[0] in picture.proto.spec
    assert "YOU ARE HERE" in picture.proto.spec


def test_nothing_is_kept_of_a_walk(page, store):
    walked(page, ())

    assert store.visits() == ()


# ------------------------------------------------------------------ the map

MAPPED = {"part": "map", "complaint": "condensate_backs_up"}
TWO = ["trap_blocked", "vent_sags"]


def test_the_map_is_a_part_of_its_own_beside_the_walk(page):
    app = page()
    assert "The map" not in shown(app)
    app = app.segmented_control(key="paths_part").select("Map of a complaint").run()

    assert app.query_params == {"part": "map"}
    assert [box.label for box in app.selectbox] == ["Complaint"]
    assert not app.exception
    back = app.segmented_control(key="paths_part").select("Walk a path").run()
    assert "Work out the paths" in [b.label for b in back.button]


def test_a_chosen_complaint_is_mapped_and_stands_in_the_address(page, knowledge):
    app = page(part="map")
    app = app.selectbox(key="map_complaint").select("condensate_backs_up").run()

    assert app.query_params == MAPPED
    count = sum("condensate_backs_up" in c.seen_with for c in knowledge.causes.values())
    assert f"{count} causes in" in shown(app)


def test_the_picture_has_a_link_over_every_cause_at_each_of_three_widths(page, knowledge):
    app = page(**MAPPED)
    (picture,) = [h.proto.body for h in app.get("html") if "map_narrow" in h.proto.body]

    for name, cause in knowledge.causes.items():
        links = picture.count(f'part=map&amp;complaint=condensate_backs_up&amp;card=cause.{name}"')
        assert links == (3 if "condensate_backs_up" in cause.seen_with else 0)


def test_the_list_has_a_button_for_every_cause_which_opens_its_card(page, knowledge):
    app = page(**MAPPED, view="list")
    keys = {b.key for b in app.button if (b.key or "").startswith("map_cause_")}
    expected = {n for n, c in knowledge.causes.items() if "condensate_backs_up" in c.seen_with}

    assert keys == {f"map_cause_{name}" for name in expected}
    app = app.button(key="map_cause_trap_blocked").click().run()
    assert app.query_params["card"] == "cause.trap_blocked"
    assert unescaped(app.header[0].value) == knowledge.causes["trap_blocked"].name
    assert knowledge.causes["trap_blocked"].mechanism in shown(app)


def test_a_card_leads_to_its_checks_and_repairs_and_back(page, knowledge):
    app = page(**MAPPED, card="cause.trap_blocked")
    check = next(iter(knowledge.causes["trap_blocked"].shows))
    button = next(b for b in app.button if (b.key or "").endswith(f"_check_{check}"))
    app = button.click().run()

    assert unescaped(app.header[0].value) == knowledge.checks[check].name
    assert knowledge.checks[check].asks in shown(app)
    app = press(app, "Back to the map")
    assert "card" not in app.query_params
    assert "The map" in shown(app)


def test_a_card_of_a_step_has_its_cautions_before_its_moves(page, knowledge):
    name = next(n for n, a in knowledge.actions.items() if a.cautions)
    text = shown(page(**MAPPED, card=f"action.{name}"))
    caution = knowledge.cautions[knowledge.actions[name].cautions[0]].says.partition(". ")[0]

    assert text.index(caution) < text.index(knowledge.actions[name].how[0])


def test_two_causes_are_told_apart_by_the_checks_of_the_knowledge(page, knowledge):
    found = fault_map.parting(knowledge, "condensate_backs_up", TWO)
    app = page(**MAPPED, **{"with": TWO})
    text = shown(app)

    assert "What tells them apart" in text
    labels = [unescaped(b.label) for b in app.button if (b.key or "").startswith("map_check_")]
    assert labels == [f"{p.name} (about {round(p.minutes)} min)" for p in found]
    assert found[0].line() in text
    for answer in found[0].answers:
        assert answer.says in text
    assert f"- 1 {found[0].name}" in text.replace("**", "")


def test_one_cause_alone_is_told_apart_from_nothing(page):
    assert "What tells them apart" not in shown(page(**MAPPED, **{"with": TWO[:1]}))


def test_a_cause_is_added_from_its_card(page):
    app = press(page(**MAPPED, card="cause.trap_blocked"), "Tell it apart from others")

    assert app.query_params["with"] == "trap_blocked"
    assert app.multiselect(key="map_with").value == ["trap_blocked"]
    app = app.multiselect(key="map_with").set_value(TWO).run()
    assert "What tells them apart" in shown(app)


def test_no_more_than_four_causes_are_taken_from_the_address(page, knowledge):
    names = [n for n, c in knowledge.causes.items() if "condensate_backs_up" in c.seen_with]
    app = page(**MAPPED, **{"with": ["no_such", *names[:6], names[0]]})

    assert app.multiselect(key="map_with").value == names[:4]
    card = page(**MAPPED, **{"with": names[:4]}, card=f"cause.{names[5]}")
    assert "take one out to add it" in shown(card)


def test_the_map_of_a_danger_sign_says_first_what_to_do(page, knowledge):
    app = page(part="map", complaint="gas_smell")
    said = unescaped(app.error[0].value)

    assert said.startswith("**Danger sign: Smell of gas.")
    for line in knowledge.symptoms["gas_smell"].danger.advice:
        assert line in said


@pytest.mark.parametrize(
    "address",
    [
        {"complaint": "no_heat"},
        {"complaint": "<b>x</b>"},
        {"complaint": "gas_smell", "card": "cause.no_such"},
        {"complaint": "gas_smell", "card": "<script>"},
        {"complaint": "gas_smell", "card": "words.often"},
    ],
)
def test_an_address_that_names_no_map_is_explained_with_a_way_on(page, address):
    app = page(part="map", **address)

    assert not app.exception
    assert "there is no" in unescaped(app.error[0].value).lower()
    again = press(app, "Back to the choice")
    assert again.query_params == {"part": "map"}
    assert not again.error

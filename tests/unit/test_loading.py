"""Loading a small folder of knowledge: what is taken, and the whole message where it is not.

The message path `file:line: what` and `mend: how` is part of the contract, so it is compared
in full.
"""

import pytest

from engine.errors import Unusable
from engine.knowledge import load
from engine.knowledge.nodes import MAX_BYTES, MAX_DEPTH
from engine.physics import CALCULATIONS

SCALES = """\
words:
  usually: {says: Mostly, probability: 0.7, source: judgement}
  rarely: {says: Hardly, probability: 0.1, source: judgement}
commonness:
  common: {says: Often met, weight: 6, source: judgement}
standing:
  rare: {says: Seldom met, probability: 0.01, source: judgement}
sources:
  judgement: {name: Judgement, kind: judgement, seen: n/a}
"""

BOILER = """\
facts:
  fuel:
    name: Fuel
    part: boiler
    ask: Which gas?
    choices: {natural_gas: Natural gas, propane: Propane}
    assumed: natural_gas
    source: judgement
symptoms:
  no_flame:
    name: No flame
    group: will_not_start
    caller_says: [It clicks]
    share: common
    source: judgement
access:
  cover_off:
    name: Cover off
    kind: opened
    open_minutes: 2
    close_minutes: 3
    who: technician
    source: judgement
  valve_open:
    name: Valve open
    kind: opened
    needs: [cover_off]
    open_minutes: 2
    close_minutes: 3
    who: technician
    source: judgement
instruments:
  gas_gauge:
    name: Gauge for gas
    quantity: gauge_pressure
    accuracy: {of_reading: 1 %, at_least: 0.2 mbar}
    source: judgement
checks:
  gas_pressure:
    name: Measure the gas pressure
    asks: What does it show?
    access: [valve_open]
    minutes: 5
    who: technician
    outcomes:
      right: {says: In range, means: The supply is fine}
      low: {says: Low, means: Too little gas, in_sound_boiler: rarely}
      high: {says: High, means: Too much gas, in_sound_boiler: rarely}
    reading:
      fields:
        pressure:
          name: Pressure
          quantity: gauge_pressure
          unit: mbar
          instrument: gas_gauge
          plausible: [-5 mbar, 70 mbar]
          source: judgement
      figure: [{field: pressure}]
      bands:
        - {outcome: low, below: 17 mbar}
        - {outcome: right, from: 17 mbar, below: 25 mbar}
        - {outcome: high, from: 25 mbar}
      band_source: judgement
    source: judgement
actions:
  turn_off:
    name: Turn the regulator down
    kind: adjust
    how: [Turn it down.]
    minutes: 3
    who: technician
    source: judgement
causes:
  regulator_low:
    name: Regulator low
    system: gas_supply
    mechanism: It lets too little gas through.
    seen_with: {no_flame: common}
    standing: rare
    shows: {gas_pressure: {low: usually}}
    mended_by: {turn_off: usually}
    source: judgement
"""


@pytest.fixture
def folder(tmp_path):
    """A small knowledge that loads."""
    path = tmp_path / "known"
    path.mkdir()
    (path / "scales.yaml").write_text(SCALES)
    (path / "boiler.yaml").write_text(BOILER)
    return path


def messages(folder):
    """What loading says, problem by problem."""
    with pytest.raises(Unusable) as refusal:
        load(folder, CALCULATIONS)
    return [str(problem) for problem in refusal.value.problems]


def changed(folder, before, after, file="boiler.yaml"):
    """The folder with one piece of text replaced; the line on which it stands now."""
    text = (folder / file).read_text()
    assert text.count(before) == 1, f"{before!r} stands {text.count(before)} times"
    (folder / file).write_text(text.replace(before, after))
    return text[: text.index(before)].count("\n") + 1


def test_the_small_folder_loads(folder):
    known = load(folder, CALCULATIONS)

    assert list(known.causes) == ["regulator_low"]
    line = BOILER.splitlines().index("  regulator_low:") + 1
    assert known.places["causes", "regulator_low"] == ("known/boiler.yaml", line)


def test_the_version_changes_with_any_change(folder):
    before = load(folder, CALCULATIONS).version

    changed(folder, "name: Regulator low", "name: Regulator set low")

    assert load(folder, CALCULATIONS).version != before


def test_off_and_no_and_numbers_stay_text(folder):
    """Plain YAML loading makes False and 1 of them; here every word stays as written."""
    changed(
        folder,
        "choices: {natural_gas: Natural gas, propane: Propane}",
        "choices: {natural_gas: off, propane: no, town_gas: yes, other_gas: 010}",
    )

    choices = load(folder, CALCULATIONS).facts["fuel"].choices

    assert list(choices.values()) == ["off", "no", "yes", "010"]


def test_no_as_an_id_is_no_false(folder):
    changed(folder, "propane: Propane", "no: Propane")

    assert "no" in load(folder, CALCULATIONS).facts["fuel"].choices


def test_unknown_key_lists_the_allowed_ones(folder):
    line = changed(folder, "    minutes: 3\n", "    minuts: 3\n")

    first, second = messages(folder)

    assert first == (
        f"known/boiler.yaml:{line - 4}: key 'minutes' is missing\n    mend: add 'minutes' here"
    )
    assert second == (
        f"known/boiler.yaml:{line}: unknown key 'minuts'\n"
        "    mend: write 'minutes'; allowed keys: name, kind, how, say, access, shut, minutes, "
        "others_minutes, who, hazards, cautions, parts, tools, yearly, verify, only_after, "
        "against, only_if, source"
    )


def test_a_sheet_figure_that_nobody_asks_for(folder):
    line = changed(folder, "    minutes: 3\n", "    minutes: 3\n    against: [fuell]\n")

    assert messages(folder) == [
        f"known/boiler.yaml:{line + 1}: fact 'fuell' is not defined in any file\n"
        "    mend: write 'fuel'"
    ]


def test_a_circumstance_that_follows_from_a_choice(folder):
    line = changed(
        folder,
        "symptoms:\n",
        "contexts:\n  gassy: {name: Gassy, ask: Is it?, shifts: {regulator_low: more}, "
        "when: {fuel: [0 m, 1 m]}, source: judgement}\nsymptoms:\n",
    )
    changed(
        folder,
        "standing:\n",
        "shifts:\n  more: {says: More, factor: 2, source: judgement}\nstanding:\n",
        "scales.yaml",
    )

    assert messages(folder) == [
        f"known/boiler.yaml:{line + 1}: fact 'fuel' is a choice, not a number\n"
        "    mend: use a fact with a number"
    ]


def test_repeated_key_says_where_the_first_one_stands(folder):
    line = changed(folder, "    minutes: 3\n", "    minutes: 3\n    minutes: 4\n")

    assert messages(folder) == [
        f"known/boiler.yaml:{line + 1}: key 'minutes' is written twice (first on line {line})\n"
        "    mend: keep one of the two"
    ]


def test_an_entry_defined_in_two_files_names_both(folder):
    (folder / "more.yaml").write_text(
        "sources:\n  judgement: {name: Again, kind: judgement, seen: n/a}\n"
    )

    assert messages(folder) == [
        "known/scales.yaml:9: sources 'judgement' is defined twice (first in known/more.yaml:2)\n"
        "    mend: keep one, or give this one an id of its own"
    ]


@pytest.mark.parametrize(
    ("before", "after", "what", "mend"),
    [
        (
            "seen_with: {no_flame: common}",
            "seen_with: {no_flames: common}",
            "symptom 'no_flames' is not defined in any file",
            "write 'no_flame'",
        ),
        (
            "mended_by: {turn_off: usually}",
            "mended_by: {turn_off: usualy}",
            "likelihood word 'usualy' is not defined in any file",
            "write 'usually'",
        ),
        (
            "shows: {gas_pressure: {low: usually}}",
            "shows: {zzz: {low: usually}}",
            "check 'zzz' is not defined in any file",
            "add a check with this id, or take it out here",
        ),
        (
            "shows: {gas_pressure: {low: usually}}",
            "shows: {gas_pressure: {lo: usually}}",
            "'lo' is not an outcome of check 'gas_pressure'",
            "write 'low'",
        ),
        (
            "shows: {gas_pressure: {low: usually}}",
            "shows: {gas_pressure: {right: usually}}",
            "'right' is what a sound boiler shows",
            "take it out: what is left over goes there",
        ),
        (
            "shows: {gas_pressure: {low: usually}}",
            "shows: {gas_pressure: {low: usually, high: usually}}",
            "the outcomes add up to 1.40",
            "choose rarer words; together they stay at or below 1",
        ),
        (
            "access: [valve_open]",
            "access: [valve_opened]",
            "access state 'valve_opened' is not defined in any file",
            "write 'valve_open'",
        ),
        (
            "system: gas_supply",
            "system: gas",
            "'gas' is not allowed as 'system'",
            "choose 'gas_supply', 'gas_valve', 'ignition', 'flame_sensing', 'burner', 'air', "
            "'vent', 'condensate', 'exchanger', 'water', 'control' or 'electrical'",
        ),
        (
            "unit: mbar",
            "unit: furlong",
            None,
            "write a value with unit, as a gauge_pressure",
        ),
        (
            "how: [Turn it down.]",
            "how: Turn it down.",
            "'how' is text, a list is needed",
            "write a list",
        ),
    ],
)
def test_what_is_wrong_is_said_with_its_line_and_its_mend(folder, before, after, what, mend):
    line = changed(folder, before, after)

    (message,) = messages(folder)

    place, said = message.split(": ", 1)
    assert place == f"known/boiler.yaml:{line}"
    assert said.endswith(f"\n    mend: {mend}")
    assert what is None or said == f"{what}\n    mend: {mend}"


@pytest.mark.parametrize(
    ("waits", "what"),
    [
        ("a while", "'a while' does not start with a number"),
        ("10", "'10' has no unit"),
        ("10 mbar", "'10 mbar' is not a duration"),
        ("1 s", "nobody waits '1 s' beside a boiler"),
        ("[5 min, 3 h]", "nobody waits '3 h' beside a boiler"),
    ],
)
def test_a_wait_is_a_duration_that_somebody_can_wait(folder, waits, what):
    changed(folder, "    minutes: 5\n", f"    minutes: 5\n    waits: {waits}\n")

    (message,) = messages(folder)

    assert what in message
    assert "mend: write" in message


@pytest.mark.parametrize(
    ("waits", "kept"), [("90 s", ("90 s",)), ("[2 min, 1 h]", ("2 min", "1 h"))]
)
def test_a_check_may_name_what_is_waited_out_and_that_it_is_timed(folder, waits, kept):
    changed(folder, "    minutes: 5\n", f"    minutes: 5\n    waits: {waits}\n    times: yes\n")

    check = load(folder, CALCULATIONS).checks["gas_pressure"]

    assert (check.waits, check.times) == (kept, True)


ACCURACY = "    accuracy: {of_reading: 1 %, at_least: 0.2 mbar}\n"


@pytest.mark.parametrize(
    ("before", "after", "what", "mend"),
    [
        ("instrument: gas_gauge", "instrument: gas_guage",
         "instrument 'gas_guage' is not defined in any file", "write 'gas_gauge'"),
        ("instrument: gas_gauge", "instrument: ruler",
         "instrument 'ruler' is not defined in any file",
         "add a instrument with this id, or take it out here"),
        (ACCURACY, "    accuracy: {of_reading: 60 %}\n",
         "an accuracy of '60 %' of the reading tells next to nothing", "check the decimal point"),
        (ACCURACY, "    accuracy: {at_least: -0.2 mbar}\n",
         "an accuracy of '-0.2 mbar' is below zero", "write it without a sign"),
        (ACCURACY, "    accuracy: {of_reading: 0 %, at_least: 0 mbar}\n",
         "no instrument is exact",
         "write a share of the reading, a least figure, or both"),
        (ACCURACY, "    accuracy: {}\n",
         "no instrument is exact",
         "write a share of the reading, a least figure, or both"),
        (ACCURACY, "    accuracy: {of_reading: 0.2 mbar}\n",
         "'0.2 mbar' is not a share of the reading",
         "write a share of the reading such as '3 %'"),
        (ACCURACY, "    accuracy: {at_least: 0.2}\n",
         "'0.2' has no unit", "write a gauge pressure such as '10 mbar' or '4 inH2O'"),
    ],
)  # fmt: skip
def test_an_instrument_that_cannot_be_is_said_with_its_mend(folder, before, after, what, mend):
    changed(folder, before, after)

    (message,) = messages(folder)
    assert message.partition(": ")[2] == f"{what}\n    mend: {mend}"


def test_an_instrument_of_an_unknown_quantity_is_said_with_the_nearest(folder):
    line = changed(folder, "    quantity: gauge_pressure\n    accuracy",
                   "    quantity: gauge_presure\n    accuracy")  # fmt: skip

    assert messages(folder)[0] == (
        f"known/boiler.yaml:{line}: unknown quantity 'gauge_presure'\n"
        "    mend: write 'gauge_pressure'"
    )


def test_an_instrument_reads_the_quantity_of_its_field(folder):
    line = changed(folder, "          instrument: gas_gauge", "          instrument: probe")
    (folder / "more.yaml").write_text(
        "instruments:\n  probe:\n    name: Probe\n    quantity: temperature\n"
        "    accuracy: {at_least: 2 K}\n    source: judgement\n"
    )

    assert messages(folder) == [
        f"known/boiler.yaml:{line}: instrument 'probe' reads a temperature, not a gauge_pressure\n"
        "    mend: name an instrument of the same quantity"
    ]


def test_an_accuracy_has_no_place_in_a_reading_any_more(folder):
    changed(folder, "          instrument: gas_gauge\n",
            "          instrument: gas_gauge\n          accuracy: {of_reading: 1 %}\n")  # fmt: skip

    (message,) = messages(folder)
    assert message.endswith(
        "unknown key 'accuracy'\n"
        "    mend: allowed keys: name, quantity, unit, instrument, plausible, optional, source"
    )


def with_assumed(text):
    """The figure of the small folder, and one with a value that is taken for granted."""
    figure = (
        f"[{{calculation: pressure_sag, inputs: {{static: this.pressure{text}, running: 5 mbar}}}}]"
    )
    return "figure: [{field: pressure}]", f"figure: {figure}"


def test_an_assumed_value_may_say_how_far_it_may_be_off(folder):
    changed(folder, *with_assumed(" or 20 mbar ± 2 mbar"))

    figure = load(folder, CALCULATIONS).checks["gas_pressure"].reading.figure[0]

    assert figure.inputs["static"] == "this.pressure or 20 mbar ± 2 mbar"


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (" or 20 mbar ± 2 K", "'2 K' is not a"),
        (" or 20 mbar ± 2", "'2' has no unit"),
        (" or 20 mbar ± some", "'some' does not start with a number"),
        (" or 20 mbar ± -2 mbar", "-2 mbar"),
        (" or 20 K ± 2 mbar", "'20 K' is not a"),
    ],
)
def test_a_spread_that_cannot_be_is_said_with_its_line_and_its_mend(folder, text, what):
    line = changed(folder, *with_assumed(text))

    (message,) = messages(folder)
    assert message.startswith(f"known/boiler.yaml:{line}: ")
    assert what in message
    assert "\n    mend: " in message


TYPICAL = """\
  least:
    name: Least pressure
    part: limits
    ask: Which?
    quantity: gauge_pressure
    unit: mbar
    typical: 17 mbar
    spread: {spread}
    source: judgement
symptoms:
"""


def test_a_typical_figure_may_say_by_which_share_it_may_be_off(folder):
    changed(folder, "symptoms:\n", TYPICAL.format(spread="5 %"))

    assert load(folder, CALCULATIONS).facts["least"].spread == "5 %"


@pytest.mark.parametrize("spread", ["5", "5 mbar", "-5 %", "some"])
def test_a_share_that_cannot_be_is_said_with_its_line_and_its_mend(folder, spread):
    line = changed(folder, "symptoms:\n", TYPICAL.format(spread=spread)) + 7

    (message,) = messages(folder)
    assert message.startswith(f"known/boiler.yaml:{line}: ")
    assert f"'{spread}'" in message
    assert "\n    mend: " in message


def test_a_figure_may_lead_to_outcomes_of_its_check_only(folder):
    """Misspelt it would lead nowhere, and a danger would be silent."""
    line = changed(
        folder, "figure: [{field: pressure}]", "figure: [{field: pressure, only: [hihg]}]"
    )

    (message,) = messages(folder)
    assert message.startswith(f"known/boiler.yaml:{line}: ")
    assert "'hihg'" in message
    assert "mend: write 'high'" in message


def test_a_circle_in_the_access_order_is_written_out(folder):
    line = changed(
        folder,
        "    kind: opened\n    open_minutes",
        "    kind: opened\n    needs: [valve_open]\n    open_minutes",
    )

    (message,) = messages(folder)

    assert message == (
        f"known/boiler.yaml:{line + 1}: the access order goes in a circle: "
        "cover_off -> valve_open -> cover_off\n    mend: take one of these 'needs' out"
    )


@pytest.mark.parametrize(
    ("before", "after", "offset", "what", "mend"),
    [
        (
            "from: 17 mbar",
            "from: 18 mbar",
            0,
            "a gap or an overlap between 'low' and 'right'",
            "write the same limit as 'below' of the one and 'from' of the next",
        ),
        (
            "from: 17 mbar",
            "from: 16 mbar",
            0,
            "a gap or an overlap between 'low' and 'right'",
            "write the same limit as 'below' of the one and 'from' of the next",
        ),
        (
            "below: 25 mbar}\n        - {outcome: high, from: 25 mbar}",
            "below: 15 mbar}\n        - {outcome: high, from: 15 mbar}",
            0,
            "the bands do not ascend for every fuel",
            "order them from low to high; check the typical values",
        ),
        (
            "{outcome: low, below: 17 mbar}",
            "{outcome: low, from: 1 mbar, below: 17 mbar}",
            0,
            "the first band leaves a gap below it",
            "take its 'from' out: it reaches down without end",
        ),
        (
            "{outcome: high, from: 25 mbar}",
            "{outcome: high, from: 25 mbar, below: 60 mbar}",
            0,
            "the last band leaves a gap above it",
            "take its 'below' out: it reaches up without end",
        ),
        (
            ", below: 25 mbar}\n        - {outcome: high, from: 25 mbar}",
            "}",
            -2,
            "no band leads to outcome 'high'",
            "add its band, or take the outcome out",
        ),
        (
            "{outcome: high, from: 25 mbar}",
            "{outcome: hihg, from: 25 mbar}",
            0,
            "'hihg' is not an outcome of this check",
            "write 'high'",
        ),
    ],
)
def test_bands_leave_no_gap_no_overlap_and_no_outcome_out(
    folder, before, after, offset, what, mend
):
    line = changed(folder, before, after) + offset

    assert f"known/boiler.yaml:{line}: {what}\n    mend: {mend}" in messages(folder)


def test_bands_are_judged_for_every_fuel(folder):
    """By fuel the two limits cross for propane only."""
    changed(folder, "below: 17 mbar", "below: {by_fuel: {natural_gas: 17 mbar, propane: 30 mbar}}")
    line = changed(
        folder, "from: 17 mbar,", "from: {by_fuel: {natural_gas: 17 mbar, propane: 30 mbar}},"
    )

    assert messages(folder) == [
        f"known/boiler.yaml:{line}: the bands do not ascend for every fuel\n"
        "    mend: order them from low to high; check the typical values"
    ]


def test_two_documents_in_one_file_are_refused(folder):
    (folder / "scales.yaml").write_text(SCALES + "---\ncauses: {}\n")
    line = SCALES.count("\n") + 1

    assert (
        f"known/scales.yaml:{line}: a second document begins here\n"
        "    mend: keep one document a file"
    ) in messages(folder)


def test_anchors_and_aliases_are_refused(folder):
    (folder / "more.yaml").write_text("sources:\n  a: &x {name: A}\n  b: *x\n")

    assert messages(folder) == [
        "known/more.yaml:2: anchors and aliases are not allowed\n    mend: write the value out"
    ]


def test_too_deep_nesting_is_refused_before_it_is_built(folder):
    (folder / "deep.yaml").write_text("[" * 200 + "]" * 200)

    assert messages(folder) == [
        f"known/deep.yaml:1: values are nested deeper than {MAX_DEPTH}\n"
        "    mend: flatten this entry"
    ]


def test_nesting_without_end_is_refused_too(folder):
    """The reader's own bound comes first here; what matters is a sentence, not a crash."""
    (folder / "deep.yaml").write_text("[" * 100_000)

    (message,) = messages(folder)

    assert message.startswith("known/deep.yaml:1: ")


def test_a_file_too_large_is_refused(folder):
    (folder / "large.yaml").write_text("#" * (MAX_BYTES + 1))

    assert messages(folder) == [
        f"known/large.yaml:1: the file is larger than {MAX_BYTES} bytes\n"
        "    mend: split the file; knowledge is written by hand and stays small"
    ]


def test_text_that_is_not_utf_8_is_refused_on_its_line(folder):
    (folder / "latin.yaml").write_bytes("sources:\n  a: {name: Prüfung}\n".encode("latin-1"))

    assert messages(folder) == [
        "known/latin.yaml:2: the file is not UTF-8 text\n    mend: save it as UTF-8"
    ]


def test_tab_indentation_is_refused_on_its_line(folder):
    (folder / "tabs.yaml").write_text("sources:\n\ta: {name: A}\n")

    assert messages(folder) == [
        "known/tabs.yaml:2: this is not YAML: found character that cannot start any token\n"
        "    mend: check indentation, colons and quotes on this line and the one before"
    ]


@pytest.mark.parametrize(
    ("text", "what", "mend"),
    [
        ("", "the file is empty", "add an entry or remove the file"),
        ("- a\n", "the file is not a mapping of kinds", "begin with a kind such as 'causes:'"),
        ("cause: {}\n", "unknown kind 'cause'", "write 'causes'"),
        (
            "causes:\n",
            "'causes' holds no entries by id",
            "write one id a line below it, each with its own keys",
        ),
        ("? [a]\n: b\n", "a key is not plain text", "write a word as key"),
    ],
)
def test_a_file_of_another_shape_is_refused(folder, text, what, mend):
    (folder / "other.yaml").write_text(text)

    assert messages(folder) == [f"known/other.yaml:1: {what}\n    mend: {mend}"]


def test_a_byte_order_mark_is_no_part_of_the_first_key(folder):
    (folder / "scales.yaml").write_text("\ufeff" + SCALES)

    load(folder, CALCULATIONS)


def test_all_problems_of_several_files_come_at_once_in_their_order(folder):
    last = changed(folder, "standing: rare", "standing: rar")
    first = changed(folder, "name: No flame\n", "nam: No flame\n")
    word = changed(folder, "probability: 0.7", "probability: 1.7", file="scales.yaml")

    places = [message.split(": ")[0] for message in messages(folder)]

    assert places == [
        f"known/boiler.yaml:{first - 1}",  # the key 'name' is missing in this entry
        f"known/boiler.yaml:{first}",
        f"known/boiler.yaml:{last}",
        f"known/scales.yaml:{word}",
    ]


def test_an_empty_folder_is_refused(tmp_path):
    with pytest.raises(Unusable) as refusal:
        load(tmp_path, CALCULATIONS)

    assert str(refusal.value) == (
        f"{tmp_path}:1: no YAML file in this folder\n    mend: point at a knowledge folder"
    )


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(Unusable, match="no YAML file in this folder"):
        load(tmp_path / "nowhere", CALCULATIONS)


def test_the_current_folder_is_named_in_messages(folder, monkeypatch):
    monkeypatch.chdir(folder)
    (folder / "other.yaml").write_text("- a\n")

    with pytest.raises(Unusable, match=r"^known/other\.yaml:1: "):
        load(type(folder)("."), CALCULATIONS)


# ------------------------------------------------------------------ what a service is made of

LOW = "{says: Low, means: Too little gas, in_sound_boiler: rarely}"


@pytest.mark.parametrize(
    ("before", "after", "what", "mend"),
    [
        (
            LOW, LOW[:-1] + ", raises: no_flam}",
            "symptom 'no_flam' is not defined in any file", "write 'no_flame'",
        ),
        (
            "means: The supply is fine}", "means: The supply is fine, raises: no_flame}",
            "a sound boiler raises no complaint", "take 'raises' out here",
        ),
        (
            "in_sound_boiler: rarely}\n    reading", "in_sound_boiler: rarely, raises: no_flame}\n"
            "    reading", "no cause shows 'high' and is seen with 'no_flame'",
            "name a complaint of a cause that shows it",
        ),
        (
            LOW, LOW[:-1] + ", raises: no_flame, danger: {advice: [Go], who_acts: All}}",
            "a danger sign stops the visit and raises nothing", "take 'raises' out here",
        ),
    ],
)  # fmt: skip
def test_a_complaint_that_no_finding_can_raise_is_refused(folder, before, after, what, mend):
    line = changed(folder, before, after)

    assert messages(folder) == [f"known/boiler.yaml:{line}: {what}\n    mend: {mend}"]


def test_what_is_read_as_found_does_not_stand_behind_what_keeps_the_boiler_off(folder):
    closing = """\
closing:
  cover_on:
    name: Cover on
    how: [Fit it.]
    confirm: It is on.
    who: technician
    source: judgement
"""
    (folder / "closing.yaml").write_text(closing)
    changed(
        folder, "    needs: [cover_off]\n",
        "    needs: [cover_off]\n    shut_to_run: yes\n    closing: [cover_on]\n",
    )  # fmt: skip
    line = changed(folder, "    minutes: 5\n", "    minutes: 5\n    yearly: before\n") + 1

    assert messages(folder) == [
        f"known/boiler.yaml:{line}: what is read as found cannot stand behind 'valve_open'\n"
        "    mend: write 'opened'"
    ]

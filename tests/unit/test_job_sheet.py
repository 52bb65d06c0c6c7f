"""The job sheet on paper, for mail and as text: nothing is lost, and nothing open looks proven."""

import re
import shutil
from html.parser import HTMLParser
from io import BytesIO

import pypdf
import pytest

from engine.__main__ import main
from engine.errors import UnreadableValue
from engine.readings.words import TYPICAL
from engine.records import Store, cards
from engine.records.photos import add_photo
from engine.visit import events as happened
from engine.visit import keeping, paper_letters
from engine.visit.job_sheet import Letterhead, Site, job_sheet
from engine.visit.job_sheet_bands import SMALLEST
from engine.visit.job_sheet_findings import TYPICAL_MARK
from engine.visit.job_sheet_kept import kept_job_sheet
from engine.visit.job_sheet_page import as_page
from engine.visit.job_sheet_paper import LOOK_ELSEWHERE, as_pdf
from engine.visit.job_sheet_text import as_text
from engine.visit.paper_letters import printable
from engine.visit.preferences import Preferences, keep
from engine.visit.summary import PROVEN, summarise
from tests import worked_visit

LOST = happened.SymptomReported(symptom="flame_lost_after_lighting")
SMELL = happened.SymptomReported(symptom="gas_smell")
COATED = happened.Found(check="flame_rod_seen", outcome="coated")
CLEANED = happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated")
WEAK = happened.Found(check="flame_current", values={"current": "1.2 uA"})
CLOGGED = happened.Found(check="neutraliser_seen", outcome="clogged")
DIED = happened.Proved(closing="five_starts", words="the third died", failed=True)
COVERS = happened.Proved(closing="covers_and_seals_on", words="all screws in")

LETTERHEAD = Letterhead("Demo Heating", "1 Sample Street", "+00 000", "DEMO-123")
SITE = Site("Zoë Demo", "2 Sample Street", "+00 111", "Wall hung, serial DEMO-1")


def pages(content):
    return pypdf.PdfReader(BytesIO(content)).pages


def flat(text):
    """On one line; a reader of PDF may take the letter omega for the sign of ohm, its twin."""
    return re.sub(r"\s+", " ", text.replace("\u2126", "Ω"))


def printed(sheet, paper="a4"):
    return flat(" ".join(page.extract_text() for page in pages(as_pdf(sheet, paper))))


class _Words(HTMLParser):
    def __init__(self):
        super().__init__()
        self.tags, self.words, self._silent = [], [], False

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        self._silent = tag == "style"

    def handle_endtag(self, tag):
        self._silent = False

    def handle_data(self, data):
        self.words += [] if self._silent else [data]


def parsed(sheet):
    reader = _Words()
    reader.feed(as_page(sheet))
    return reader


def mailed(sheet):
    return flat(" ".join(parsed(sheet).words))


def typed(sheet):
    return flat(as_text(sheet))


FORMS = [printed, mailed, typed]


@pytest.fixture(scope="module")
def worked(knowledge):
    """The worked visit of README: six findings, twelve closing checks, mended and proven."""
    return worked_visit.stored()


@pytest.fixture(scope="module")
def many(worked, knowledge):
    """The worked visit with four more findings, ten before the repair."""
    more = [
        happened.Found(check="flame_current", values={"current": "1.4 uA"}),
        happened.Found(check="mixture_high_fire", values={"o2": "5.0 %", "co2": "9.0 %"}),
        happened.Found(check="rod_leakage_resistance", values={"resistance": "50 Mohm"}),
        happened.Found(check="sense_lead_seen", outcome="sound"),
    ]
    store = Store("sqlite://")
    visit = keeping.begin(store, knowledge, "technician", "Mill Lane 4")
    for _, event in worked.history[1:]:
        if isinstance(event, happened.ActionDone):
            for extra in more:
                keeping.record(store, knowledge, visit, extra)
        keeping.record(store, knowledge, visit, event)
    return keeping.read(store, knowledge, visit)


HALF = (
    happened.FactStated(fact="fuel", value="natural_gas"),
    LOST,
    happened.ContextStated(context="cold_snap"),
    happened.Suspected(cause="flame_rod_coated"),
    WEAK,
    COATED,
    CLOGGED,
    happened.Skipped(step="rod_leakage_resistance", reason="no megohmmeter at hand"),
    happened.Skipped(step="burner_earth_resistance"),
    CLEANED,
    DIED,
    happened.Found(check="flame_current", values={"current": "7 uA"}),
    COVERS,
    happened.Noted(text="Comes back on Friday"),
)


@pytest.fixture(scope="module")
def half(knowledge):
    """A visit with something of everything that can be left open."""
    store = Store("sqlite://")
    visit = keeping.begin(store, knowledge, "technician", "Mill Lane 4")
    for event in HALF:
        keeping.record(store, knowledge, visit, event)
    return keeping.read(store, knowledge, visit)


def sections(sheet):
    return {section.title: section for section in sheet.sections}


# ------------------------------------------------------------------ what it says


@pytest.mark.parametrize("read", FORMS)
def test_every_form_holds_all_that_the_summary_says(read, knowledge, half, worked, after):
    for visit in (half, worked, after(LOST), after(LOST, COATED, SMELL)):
        summary = summarise(knowledge, visit)
        said = read(job_sheet(knowledge, visit, LETTERHEAD, SITE)).casefold()
        texts = [
            *summary.wrong, *summary.speaks_for, *summary.against, *summary.done, *summary.left,
            *summary.advised, *summary.parts, *summary.cautions, *summary.governs,
            *(text for c in summary.closing for text in (c.name, c.stands, c.words)),
            *(w for c in summary.closing if c.stands != PROVEN for w in c.why),
            *(text for pair in summary.compared for text in (pair.name, pair.before, pair.after)),
        ]  # fmt: skip
        assert summary.wrong
        for text in texts:
            assert flat(text.replace(TYPICAL, TYPICAL_MARK)).casefold() in said
        proven_by = [knowledge.closing[closing.id].check for closing in summary.closing]
        by_closing = [knowledge.checks[check].name for check in proven_by if check]
        for line in summary.write_down:  # in a table its parts stand in cells
            name, *parts = re.split(
                r": | \(needs |\): | \(for: ", line.replace(TYPICAL, TYPICAL_MARK)
            )
            assert name.casefold() in said or name in by_closing
            for part in parts:
                assert flat(part.removesuffix(")")).casefold() in said


@pytest.mark.parametrize("read", FORMS)
def test_the_order_is_that_of_reading(read, knowledge, half):
    said = read(job_sheet(knowledge, half, LETTERHEAD, SITE, ["Rod before cleaning"]))
    reached = 0
    for text in (
        "Demo Heating", "Zoë Demo", "Wall hung, serial DEMO-1", "Flame lights and is lost",
        "1.2 ± 0.2 µA", "White, glassy or scaly film", "How sure: ", "speaks strongly for it",
        "1. Clean the flame rod", "1 × Flame rod gasket", "As left", "Five clean starts in a row",
        "Cautions", "no megohmmeter at hand", "Slow or shut, media turned to paste",
        "Comes back on Friday", "Rod before cleaning", "Technician: name, date, signature",
        "No substitute for the maker's instructions",
    ):  # fmt: skip
        reached = said.index(text, reached)  # after what stands before it


def test_every_figure_stands_with_limit_mark_and_instrument(knowledge, half):
    sheet = job_sheet(knowledge, half)
    (row,) = sections(sheet)["Readings as found"].rows
    instruments = " ".join(row.cells[0] for row in sections(sheet)["Instruments, limits"].rows)

    assert row.cells == (
        "Measure the flame current", "Flame current 1.2 ± 0.2 µA",
        f"5 µA or more; limit 2 µA, {TYPICAL_MARK}", "Below the limit", "a",
    )  # fmt: skip
    assert instruments.startswith("a Microammeter in the flame lead ± 2 % of the reading")
    assert TYPICAL in instruments


def test_a_maker_figure_is_not_called_typical(knowledge, after):
    own = happened.FactStated(fact="flame_current_min", value="2 uA")
    sheet = job_sheet(knowledge, after(own, LOST, WEAK))

    assert TYPICAL_MARK not in typed(sheet)
    assert "Least flame current: 2 uA" in typed(sheet)
    assert "entered for this boiler" in typed(sheet)


def test_what_a_figure_was_worked_out_from_stands_as_typed(knowledge, after):
    co = happened.Found(check="co_high_fire", values={"co": "100 ppm", "o2": "5 %"})
    (row,) = sections(job_sheet(knowledge, after(LOST, co)))["Readings as found"].rows

    assert row.cells[1].startswith("CO as measured 100 ppm, O2 at the same moment 5 %; CO air-free")


@pytest.mark.parametrize("read", FORMS)
def test_every_closing_check_that_is_open_is_on_it_and_says_so(read, knowledge, half):
    said = read(job_sheet(knowledge, half))
    still_open = [c for c in summarise(knowledge, half).closing if c.stands != PROVEN]

    assert len(still_open) > 5
    for closing in still_open:
        assert re.search(
            rf"{re.escape(closing.name)}.{{0,20}}{re.escape(closing.stands.upper())}\.", said
        )
    assert said.count("NOT PROVEN YET") == len(still_open) - 1  # the starts did not hold
    assert "Five clean starts in a row (did not hold)" in said


def test_only_what_is_proven_is_ticked(knowledge, half):
    sheet = job_sheet(knowledge, half)
    ticked = [row for row in sections(sheet)["Closing checks"].rows if row.box]
    boxes = [dict(a).get("aria-label") for t, a in parsed(sheet).tags if a.get("class") == "box"]

    assert [row.cells[0] for row in ticked] == [knowledge.closing["covers_and_seals_on"].name]
    assert boxes.count("yes") == 1
    assert boxes.count("no") == len(summarise(knowledge, half).closing) - 1
    assert as_text(sheet).count("[x]") == 1


def test_a_proof_that_fell_with_a_later_repair_is_open_again(knowledge, after):
    again = happened.ActionDone(action="replace_flame_rod", cause="flame_rod_coated")
    rows = sections(job_sheet(knowledge, after(LOST, COATED, CLEANED, COVERS, again)))[
        "Closing checks"
    ].rows

    assert not any(row.box for row in rows)


def test_skipped_steps_are_listed_with_their_reasons_until_they_are_taken_up(knowledge, after):
    skipped = happened.Skipped(step="flame_current", reason="no meter")
    title = "Set aside, not done"

    (row,) = sections(job_sheet(knowledge, after(LOST, skipped)))[title].rows
    assert row.cells == ("Measure the flame current: no meter",)
    assert title not in sections(job_sheet(knowledge, after(LOST, skipped, WEAK)))
    handed = happened.HandedOver(who="technician", words="to the night shift")
    over = job_sheet(knowledge, after(LOST, skipped, handed, who="technician_no_gas"))
    assert sections(over)[title].rows == (row,)
    assert "to the night shift" in typed(over)


def test_empty_parts_are_left_out(knowledge, after):
    sheet = job_sheet(knowledge, after(LOST))

    assert "Closing checks" not in sections(sheet)
    assert all(section.rows for section in sheet.sections)
    assert "Licence" not in typed(sheet)
    assert "Photos" not in typed(sheet)
    assert "Parts used" not in typed(sheet)


# ------------------------------------------------------------------ danger


@pytest.mark.parametrize("read", FORMS)
def test_a_visit_stopped_for_danger_says_so_on_top(read, knowledge, after):
    stopped = happened.Closed(end="stopped_for_danger", words="Supplier came at 16:40")
    sheet = job_sheet(knowledge, after(LOST, COATED, SMELL, stopped), LETTERHEAD, SITE)
    said = read(sheet)
    danger = knowledge.symptoms["gas_smell"].danger
    above = said[: said.index("Zoë Demo")]

    assert "stopped for danger: smell of gas" in above.casefold()
    for text in (danger.who_acts, *danger.advice, *danger.do_not):
        assert text in above
    assert "Stopped for danger: Supplier came at 16:40" in said[said.index("How it ended") :]


@pytest.mark.parametrize("read", FORMS)
def test_what_was_made_safe_and_not_mended_says_so_on_top(read, knowledge, after):
    safe = happened.MadeSafe(event=3, words="cock tagged, room CO 0 ppm")
    stopped = happened.Closed(end="stopped_for_danger")
    said = read(job_sheet(knowledge, after(LOST, SMELL, safe), site=SITE))
    ended = read(job_sheet(knowledge, after(LOST, SMELL, safe, stopped), site=SITE))

    above = said[: said.index("Zoë Demo")].casefold()
    assert "danger sign made safe: smell of gas" in above
    assert "cock tagged, room co 0 ppm" in above
    assert "not mended yet. the burner stays off" in above
    assert "Made safe, not mended: Smell of gas" in said
    assert ended.casefold().index("stopped for danger") < ended.index("Zoë Demo")


# ------------------------------------------------------------------ as typed


NASTY = (
    "<script>alert('x')</script> & **bold** _it_ | # $5 `a` &amp; <b>5 Ω, m², 2 µA ± 3 °C – é</b>"
)


@pytest.mark.parametrize("read", FORMS)
def test_what_was_typed_comes_out_as_typed(read, knowledge, after):
    visit = after(
        LOST, COATED, happened.Skipped(step="flame_current", reason=NASTY), CLEANED,
        happened.Noted(text=NASTY), happened.Proved(closing="covers_and_seals_on", words=NASTY),
    )  # fmt: skip
    sheet = job_sheet(
        knowledge, visit, Letterhead(*[NASTY] * 4), Site(*[NASTY] * 4), [NASTY, NASTY]
    )

    assert read(sheet).count(NASTY) >= 4 + 4 + 2 + 3
    assert LOOK_ELSEWHERE not in read(sheet)


def test_the_page_brings_no_script_and_fetches_nothing(knowledge, half):
    sheet = job_sheet(knowledge, half, Letterhead(NASTY), Site(NASTY), [NASTY])
    reader = parsed(sheet)

    assert {tag for tag, _ in reader.tags}.isdisjoint({"script", "link", "img", "iframe", "object"})
    for _, attributes in reader.tags:
        assert not {name for name in attributes if name.startswith("on")}
        assert attributes.keys().isdisjoint({"src", "href", "srcset", "background", "action"})
    assert "url(" not in as_page(sheet)
    assert "@import" not in as_page(sheet)


NAMES = ("Łukasz Čech", "Őry Șerban", "Γιώργος Ψαλτάκης", "Юрий Їжак", "Łódź, 5 Ω ≤ 7 µA → ok")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_names_in_latin_greek_and_cyrillic_letters_are_printed_whole(paper, knowledge, after):
    notes = [happened.Noted(text=name) for name in NAMES]
    sheet = job_sheet(knowledge, after(LOST, *notes), site=Site("; ".join(NAMES)))
    content = as_pdf(sheet, paper)
    said = printed(sheet, paper)

    for name in NAMES:
        assert said.count(name) == 2
    assert LOOK_ELSEWHERE not in said
    assert len(content) < 60_000  # the letters that are used, not the whole font


def test_fonts_swept_away_while_the_program_runs_are_cut_again(knowledge, after):
    sheet = job_sheet(knowledge, after(LOST))
    before = as_pdf(sheet)
    swept = paper_letters._file(400).parent
    shutil.rmtree(swept)

    assert as_pdf(sheet) == before
    assert swept.exists()


def test_a_letter_with_its_mark_beside_it_is_put_together(knowledge, after):
    assert "Čech" in printed(job_sheet(knowledge, after(LOST), site=Site("C\u030cech")))


def test_letters_that_the_print_lacks_are_boxes_and_that_is_said(knowledge, after):
    sheet = job_sheet(knowledge, after(LOST), site=Site("Łukasz 漢字\u200d"))

    assert "Łukasz □□" in printed(sheet)
    assert LOOK_ELSEWHERE in printed(sheet)
    assert "Łukasz 漢字" in mailed(sheet)
    assert LOOK_ELSEWHERE not in printed(job_sheet(knowledge, after(LOST), site=Site("□")))


def test_hebrew_is_printed_from_right_to_left():
    assert printable("4 שלום, Łódź") == "4 םולש, Łódź"


def test_a_note_keeps_its_lines(knowledge, after):
    sheet = job_sheet(knowledge, after(LOST, happened.Noted(text="first\nsecond " + "w" * 300)))

    assert re.search(r"first\s*\n\s*second", pages(as_pdf(sheet))[0].extract_text())
    assert "w" * 300 in printed(sheet).replace(" ", "")


# ------------------------------------------------------------------ paper


@pytest.mark.parametrize(("paper", "mm"), [("a4", (210, 297)), ("letter", (216, 279))])
def test_a_normal_visit_fits_one_page(paper, mm, knowledge, many):
    summary = summarise(knowledge, many)
    found = [f for f in many.state.findings if f.epoch == 0 and f.event]
    assert len(found) >= 10
    assert len(summary.closing) >= 10
    (page,) = pages(as_pdf(job_sheet(knowledge, many, LETTERHEAD, SITE, ["Rod"]), paper))

    assert (round(page.mediabox.width / 72 * 25.4), round(page.mediabox.height / 72 * 25.4)) == mm
    assert "1 of 1" in page.extract_text()


def sizes_and_places(page):
    seen = []

    def visit(text, _cm, matrix, _font, size):
        if text.strip():
            seen.append((size * abs(matrix[3] or 1), matrix[4], matrix[5]))

    page.extract_text(visitor_text=visit)
    return seen


def test_a_long_visit_runs_on_with_numbered_pages_and_no_small_print(knowledge, after):
    notes = [happened.Noted(text=f"note {n}: " + "many words " * 60) for n in range(12)]
    sheet = job_sheet(knowledge, after(LOST, COATED, CLEANED, *notes), LETTERHEAD, SITE)
    printed_pages = pages(as_pdf(sheet))

    assert len(printed_pages) > 1
    for number, page in enumerate(printed_pages, 1):
        assert f"{number} of {len(printed_pages)}" in page.extract_text()
        for size, left, down in sizes_and_places(page):
            assert size >= SMALLEST == 8
            assert 0 < left < float(page.mediabox.width)
            assert 0 < down < float(page.mediabox.height)
    assert "Notes, continued" in printed(sheet)
    assert all(f"note {n}: many words" in printed(sheet) for n in range(12))


def test_a_row_higher_than_a_page_is_not_lost(knowledge, after):
    words = "\n".join(f"line{n}" for n in range(200))
    sheet = job_sheet(knowledge, after(LOST, happened.Noted(text=words)))

    said = printed(sheet)
    assert all(f"line{n} " in said for n in range(200))


def test_the_same_visit_gives_the_same_file(knowledge, half):
    sheet = job_sheet(knowledge, half, LETTERHEAD, SITE)

    assert as_pdf(sheet) == as_pdf(sheet)


def test_paper_that_does_not_exist_is_refused(knowledge, after):
    with pytest.raises(UnreadableValue, match="write a4 or letter"):
        as_pdf(job_sheet(knowledge, after(LOST)), "a3")


@pytest.mark.parametrize("read", FORMS)
def test_date_number_and_title_of_the_visit_are_on_it(read, knowledge, half):
    sheet = job_sheet(knowledge, half)
    said = read(sheet)

    assert f"visit {half.id}" in said
    assert sheet.when() in said
    assert f"{half.begun.year}-" in said
    assert "Mill Lane 4" in said


# ------------------------------------------------------------------ command line


@pytest.fixture
def kept(after, tmp_path, monkeypatch):
    monkeypatch.setenv("SIGHTPORT_DATABASE", f"sqlite:///{tmp_path / 'visits.db'}")
    return after(LOST, COATED)


def test_the_command_prints_the_text(kept, knowledge, capsys):
    assert main(["sheet", str(kept.id)]) == 0
    assert capsys.readouterr().out == as_text(job_sheet(knowledge, kept))


def test_the_command_writes_paper_and_page(kept, knowledge, tmp_path, capsys):
    pdf, page = tmp_path / "s.pdf", tmp_path / "s.html"

    assert main(["sheet", str(kept.id), "--pdf", str(pdf), "--html", str(page)]) == 0

    assert capsys.readouterr().out == ""
    assert pdf.read_bytes() == as_pdf(job_sheet(knowledge, kept))
    assert page.read_text("utf-8") == as_page(job_sheet(knowledge, kept))


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["77"], "there is no visit number 77"),
        (["1", "--pdf", "no/such/folder/s.pdf"], "no/such/folder/s.pdf:1: the file cannot be"),
        (["1", "--pdf", "s.pdf", "--paper", "a3"], "there is no paper 'a3'; write a4 or letter"),
    ],
)
def test_a_sheet_that_cannot_be_made_is_refused_with_status_2(kept, capsys, arguments, sentence):
    assert main(["sheet", *arguments]) == 2

    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(sentence)


@pytest.mark.parametrize("number", ["0", "x", "-1", "1" * 40])
def test_a_number_that_is_none_is_refused_with_status_2(kept, capsys, number):
    with pytest.raises(SystemExit) as left:
        main(["sheet", "--", number])

    assert left.value.code == 2
    assert "VISIT" in capsys.readouterr().err


def test_what_is_kept_beside_a_visit_is_on_its_sheet(store, knowledge):
    """Company, customer, boiler, photo and last year's figure; all invented."""
    keep(store, Preferences(company="Example Heating", licence="X 12", labour_rate=60))
    ann = cards.add_customer(store, "Ann Example", "1 Mill Lane", "555 0100")
    boiler = cards.add_boiler(store, "Cellar", customer=ann)
    for current in ("5.2 µA", "2.1 µA"):
        number = keeping.begin(store, knowledge, "technician")
        for event in (
            happened.SymptomReported(symptom="weak_flame_signal"),
            happened.Found(check="flame_current", values={"current": current}),
        ):
            keeping.record(store, knowledge, number, event)
        store.place(number, boiler)
    add_photo(store, number, b"x", "image/jpeg", "The rod before cleaning")

    visit = keeping.read(store, knowledge, number)
    said = as_text(kept_job_sheet(store, knowledge, visit))

    for words in ("Example Heating", "X 12", "Ann Example", "1 Mill Lane", "555 0100", "Cellar",
                  "The rod before cleaning", "an hour"):  # fmt: skip
        assert words in said
    earlier = said[said.index("Against earlier visits") :]
    assert earlier.index("5.20 µA on 2") < earlier.index("now 2.10 µA")
    first = as_text(kept_job_sheet(store, knowledge, keeping.read(store, knowledge, number - 1)))
    assert "Against earlier visits" not in first


@pytest.mark.parametrize("read", FORMS)
def test_a_finding_a_repair_and_a_proof_point_at_their_photos(read, store, knowledge):
    number = keeping.begin(store, knowledge, "technician")
    for event in (LOST, WEAK, COATED, CLEANED, COVERS):
        keeping.record(store, knowledge, number, event)
    at = {type(event): place for place, event in keeping.read(store, knowledge, number).history}
    coated, done, proof = at[happened.Found], at[happened.ActionDone], at[happened.Proved]
    for words, entry in (("Before", coated), ("Plate", None), ("Again", coated), ("After", done),
                         ("Screws", proof)):  # fmt: skip
        add_photo(store, number, b"x", "image/jpeg", words, event=entry)

    sheet = kept_job_sheet(store, knowledge, keeping.read(store, knowledge, number))
    said = flat(read(sheet))
    name = knowledge.checks["flame_rod_seen"].name

    assert f"{name} (photos 1, 3)" in said
    assert "(for: Flame rod coated) (photo 4)" in said
    assert f"{knowledge.closing['covers_and_seals_on'].name} (photo 5)" in said
    assert f"{knowledge.checks['flame_current'].name} (photo" not in said
    for caption in (f"1: {name}", "2: The visit. Plate", "Before", "Again", "After", "Screws"):
        assert caption in said

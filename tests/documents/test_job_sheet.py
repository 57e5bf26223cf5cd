"""The job sheet in print."""

import re
from collections.abc import Iterator
from dataclasses import asdict, replace

import example_plan as example
import pypdfium2 as pdfium
import pytest
from lxml import html

from wattwright.documents.figures import Units
from wattwright.documents.job_sheet import Paper, SheetHeader, job_sheet_html, job_sheet_pdf
from wattwright.documents.palette import PRINT
from wattwright.documents.sheet_content import sheet_content
from wattwright.sizing.plan import Plan
from wattwright.working import Working

POINTS = {Paper.A4: (595.3, 841.9), Paper.LETTER: (612.0, 792.0)}
"""A4 by ISO 216, 210 by 297 mm; letter by ANSI/ASME Y14.1, 8.5 by 11 in (memory). [pt]"""


def pages(pdf: bytes) -> list[str]:
    document = pdfium.PdfDocument(pdf)
    return [page.get_textpage().get_text_bounded() for page in document]


def squeezed(text: str) -> str:
    """Without spaces and places to break: lines of print end where they must."""
    return re.sub(r"[\s\u200b\u00ad\ufffe\u2009\u00a0]+", "", text)


def printed(plan: Plan, header: SheetHeader) -> str:
    return squeezed("".join(pages(job_sheet_pdf(plan, header))))


@pytest.fixture(scope="module")
def open_sheet() -> str:
    return printed(example.plan(), example.header())


def every_working(workings: tuple[Working, ...]) -> Iterator[Working]:
    for working in workings:
        yield working
        yield from every_working(working.steps)


def test_every_limit_is_printed_with_its_number_and_reason(open_sheet: str) -> None:
    for limit in example.plan().limits:
        side = "atleast" if limit.side is example.Side.FLOOR else "atmost"
        assert squeezed(limit.subject) in open_sheet
        assert f"{side}{limit.modules}" in open_sheet
        assert squeezed(limit.because) in open_sheet
        for change in limit.loosen:
            assert squeezed(f"{change.what} (then {side[:2]} {side[2:]} {change.modules})") in open_sheet


def test_the_sentence_and_the_title_block_stand_on_the_first_page() -> None:
    first = squeezed(pages(job_sheet_pdf(example.plan(), example.header()))[0])

    for words in (
        example.plan().sentence,
        "Halvermoor bench 2",
        "Job 14",
        "R. Ottery",
        "2026-11-25",
        "468 Wh",
    ):
        assert squeezed(words) in first


def test_parts_settings_cautions_and_notes_are_all_there(open_sheet: str) -> None:
    plan = example.plan()
    words = [part.title for part in plan.parts] + list(plan.cautions) + list(plan.notes)
    words += [setting.because for setting in plan.settings] + [other.because for other in plan.alternatives]

    assert [text for text in words if squeezed(text) not in open_sheet] == []
    assert "1722.56EUR" in open_sheet
    assert "8.9kg" in open_sheet


def test_every_working_opens_to_formula_values_result_and_source(open_sheet: str) -> None:
    for working in every_working(example.plan().workings):
        assert squeezed(working.formula) in open_sheet
        assert squeezed(f"{working.source.text} ({working.source.standing.value})") in open_sheet
        for value in (*working.values, working.result):
            assert squeezed(value.shown()) in open_sheet


def test_each_ride_is_pictured_in_its_hardest_season(open_sheet: str) -> None:
    for ride in example.RIDES:
        assert squeezed(f"{ride.name}: year 6, January") in open_sheet


@pytest.mark.parametrize("paper", Paper)
def test_paper_is_the_one_asked_for_and_pages_are_numbered(paper: Paper) -> None:
    pdf = job_sheet_pdf(example.plan(), example.header(paper=paper))
    document = pdfium.PdfDocument(pdf)
    count = len(document)

    assert 6 <= count <= 10
    for number, page in enumerate(document, start=1):
        assert page.get_size() == pytest.approx(POINTS[paper], abs=0.2)
        assert f"Page {number} of {count}" in page.get_textpage().get_text_bounded()


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("make", [example.plan, example.empty_plan, example.hostile_plan])
def test_nothing_is_printed_outside_the_margins(paper: Paper, make: object) -> None:
    """15 mm at both sides, 14 mm above: 40 pt leaves a little for letters that overhang."""
    hostile = example.header(paper=paper, workshop=example.HOSTILE[2], title=example.HOSTILE[1])
    for page in pdfium.PdfDocument(job_sheet_pdf(make(), hostile)):  # type: ignore[operator]
        width, _ = page.get_size()
        text = page.get_textpage()
        letters = text.get_text_range()
        boxes = [text.get_charbox(index) for index, letter in enumerate(letters) if not letter.isspace()]
        assert min(left for left, *_ in boxes) > 40.0
        assert max(right for _, _, right, _ in boxes) < width - 40.0


def test_an_empty_window_says_what_would_open_it() -> None:
    sheet = printed(example.empty_plan(), example.header())

    for way in example.empty_plan().opening:
        assert squeezed(way) in sheet
    assert squeezed("No count fits. What follows is worked out with 5 modules") in sheet
    assert squeezed("Chosen none") in sheet


def test_imperial_sheets_show_miles_and_pounds() -> None:
    sheet = printed(example.plan(), example.header(units=Units.IMPERIAL))

    assert "15.3mi" in sheet
    assert "19.6lb" in sheet
    assert "24.6km" not in sheet


def test_imperial_sheets_say_which_units_their_sentences_keep() -> None:
    imperial = printed(example.plan(), example.header(units=Units.IMPERIAL))
    metric = printed(example.plan(), example.header())

    assert squeezed("sentences and workings in kilometres") in imperial
    assert squeezed("sentences and workings in kilometres") not in metric


def test_markup_in_names_is_printed_as_it_stands() -> None:
    """A PDF stores right-to-left words in the order they are set: these are compared letter by letter."""
    header = example.header(
        title=example.HOSTILE[1], customer=example.HOSTILE[4], workshop=example.HOSTILE[0]
    )
    sheet = printed(example.hostile_plan(), header)

    for index in (0, 1, 2, 4):
        assert squeezed(example.HOSTILE[index]) in sheet
    assert set("עבריתשלוםק") <= set(sheet)


def test_the_same_plan_and_header_give_the_same_bytes() -> None:
    first = job_sheet_pdf(example.plan(), example.header())

    assert job_sheet_pdf(example.plan(), example.header()) == first
    assert b"D:20261125000000" in first


def test_a_date_in_words_is_printed_and_the_clock_is_not_asked() -> None:
    pdf = job_sheet_pdf(example.plan(), example.header(date="first Monday in May"))

    assert squeezed("first Monday in May") in squeezed(pages(pdf)[0])
    assert b"D:19700101000000" in pdf


def test_a_plan_without_extras_still_prints() -> None:
    bare = example.plan(
        settings=(), alternatives=(), cautions=(), notes=(), workings=(), answers=(), parts=(), opening=()
    )

    assert squeezed("Limits") in printed(bare, example.header(customer="", revision="", number=""))


def words_in(value: object) -> Iterator[str]:
    """Every piece of text of a sheet, drawings left out."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, entry in value.items():
            if key not in ("svg", "says"):
                yield from words_in(entry)
    elif isinstance(value, (list, tuple)):
        for entry in value:
            yield from words_in(entry)


def test_print_and_screen_say_the_same(open_sheet: str) -> None:
    plan, header = example.plan(), example.header()
    content = sheet_content(plan, header, palette=PRINT, width=680.0, tall=36.0, half=330.0, small=218.0)
    screen = squeezed(html.fromstring(job_sheet_html(plan, header)).text_content())
    pictured = {squeezed(picture.title) for picture in (content.window, *content.counts, *content.rooms)}

    texts = {squeezed(text) for text in words_in(asdict(content))} - pictured
    assert len(texts) > 200
    assert [text for text in texts if text not in screen] == []
    assert [text for text in texts - {squeezed(content.title)} if text not in open_sheet] == []


def test_other_shares_than_tenths_are_counted_in_a_hundred() -> None:
    plan = example.plan()
    wishes = replace(plan.brief.wishes, confidence=0.95)
    sheet = printed(replace(plan, brief=replace(plan.brief, wishes=wishes)), example.header())

    assert squeezed("95 in 100 rides arrive with at least") in sheet

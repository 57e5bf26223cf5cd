"""The job sheet on a screen."""

import re
from html.parser import HTMLParser
from pathlib import Path

import example_plan as example
import pytest
from lxml import html

from wattwright.documents.figures import Units
from wattwright.documents.job_sheet import job_sheet_html

VOID = {"meta", "link", "br", "img", "input", "hr"}
CHROMIUM = Path("/usr/bin/chromium")


class Balance(HTMLParser):
    """Counts what is opened and not closed, and what is closed and not opened."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """One more open, unless it holds nothing."""
        del attrs
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Drawn marks close themselves."""

    def handle_endtag(self, tag: str) -> None:
        """One fewer open, if it is the last opened."""
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)


@pytest.fixture(scope="module")
def page() -> str:
    return job_sheet_html(example.plan(), example.header())


@pytest.fixture(scope="module")
def hostile_page() -> str:
    header = example.header(
        title=example.HOSTILE[1], customer=example.HOSTILE[3], workshop=example.HOSTILE[0]
    )
    return job_sheet_html(example.hostile_plan(), header)


@pytest.mark.parametrize("which", ["page", "hostile_page"])
def test_every_tag_is_closed_where_it_should_be(which: str, request: pytest.FixtureRequest) -> None:
    balance = Balance()
    balance.feed(request.getfixturevalue(which))

    assert balance.wrong == []
    assert balance.open == []


def test_nothing_is_asked_of_any_network(page: str) -> None:
    tree = html.fromstring(page)
    links = [
        value
        for element in tree.iter()
        for name, value in element.items()
        if name in ("href", "src", "srcset")
    ]

    assert all(value.startswith("#") for value in links)
    assert set(re.findall(r"url\(.(.{10})", page)) == {"data:font/"}
    assert set(re.findall(r"https?://[^\s\"<]+", page)) == {"http://www.w3.org/2000/svg"}
    assert not tree.findall(".//script")
    assert "default-src 'none'" in page


def test_the_page_says_what_the_plan_says(page: str) -> None:
    plan = example.plan()
    said = re.sub(r"\s+", " ", html.fromstring(page).text_content())

    for words in (
        plan.sentence,
        *(limit.subject for limit in plan.limits),
        *(limit.because for limit in plan.limits),
        *(part.title for part in plan.parts),
        *plan.cautions,
        *plan.notes,
        *(working.formula for working in plan.workings),
        example.CYCLING_POWER.text,
    ):
        assert re.sub(r"\s+", " ", words) in said
    for limit in plan.limits:
        assert re.search(rf"at (least|most)\s{limit.modules}\b", said)


def test_markup_in_names_stays_words(hostile_page: str) -> None:
    tree = html.fromstring(hostile_page)

    assert not tree.findall(".//script")
    for index in (0, 1, 2, 3, 4):
        assert example.HOSTILE[index] in tree.text_content()
    assert "\x07" not in hostile_page


def test_every_jump_lands_and_every_table_names_its_columns(page: str) -> None:
    tree = html.fromstring(page)
    anchors = {element.get("id") for element in tree.iter() if element.get("id")}

    assert {link.get("href", "")[1:] for link in tree.iter("a")} <= anchors
    assert all(table.findall("./thead//th[@scope]") for table in tree.iter("table"))
    assert len(anchors) == len([element for element in tree.iter() if element.get("id")])


def test_drawings_are_named_for_those_who_cannot_see_them(page: str) -> None:
    drawings = html.fromstring(page).xpath("//*[local-name()='svg']")

    assert len(drawings) == 2 + 3 + 5 + 1  # the window wide and narrow, rides, limits by count, the stack
    assert all(drawing.get("role") == "img" and drawing.findtext("title") for drawing in drawings)


def test_imperial_pages_show_miles(page: str) -> None:
    imperial = html.fromstring(
        job_sheet_html(example.plan(), example.header(units=Units.IMPERIAL))
    ).text_content()

    assert "15.3\u00a0mi" in imperial
    assert "24.6\u00a0km" in html.fromstring(page).text_content()


def test_the_same_plan_gives_the_same_page(page: str) -> None:
    assert job_sheet_html(example.plan(), example.header()) == page


@pytest.mark.browser
@pytest.mark.slow
@pytest.mark.parametrize("width", [320, 390, 1024, 1440])
@pytest.mark.parametrize("which", ["page", "hostile_page"])
def test_no_screen_has_to_be_scrolled_sideways(
    which: str, width: int, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    """WCAG 2.2 (W3C 2023), success criterion 1.4.10: content reflows at 320 px (memory)."""
    if not CHROMIUM.exists():
        pytest.skip("no browser at hand")
    playwright = pytest.importorskip("playwright.sync_api")
    file = tmp_path / "sheet.html"
    file.write_text(request.getfixturevalue(which), encoding="utf-8")
    asked: list[str] = []
    with playwright.sync_playwright() as tool:
        browser = tool.chromium.launch(executable_path=str(CHROMIUM), args=["--no-sandbox", "--disable-gpu"])
        screen = browser.new_page(viewport={"width": width, "height": 800})
        screen.on("request", lambda request: asked.append(request.url))
        screen.goto(file.as_uri())
        beyond = screen.evaluate("document.documentElement.scrollWidth - innerWidth")
        browser.close()

    assert beyond <= 0
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []

"""The page: valid by html5lib's strict parser, no barrier that axe-core finds in headless Chromium, nothing runs."""

from __future__ import annotations

import base64
import io
import re
import shutil
from pathlib import Path
from typing import Any

import html5lib
import pytest
from axe_playwright_python.sync_playwright import Axe
from hypothesis import HealthCheck, given, settings
from PIL import Image
from playwright.sync_api import sync_playwright
from publish_log import HOSTILE, lid, logs, pouch

from buildlog.archive import BookLink
from buildlog.document import Log, Price, Step
from buildlog.media import jpeg
from buildlog.publish import About
from buildlog.publish.formats import Part, prepare, write
from buildlog.publish.settings import Pointer
from buildlog.publish.whole import write_whole

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
VIDEO = "https://v.example/w?v=a&list=b"


def full() -> Part:
    """A part with everything a page can show."""
    log = pouch()
    log.techniques[0].definition = "a line of stitching that shows"
    picture = jpeg(Image.new("RGB", (320, 180), (90, 60, 30)))
    book = BookLink(id=1, thing="awl", url="https://shop.example/awl?a=1&b=2", pays_maker=True)
    pointer = Pointer(
        start_s=3, said="next time", part=2, title="The lid", url="https://v.example/w?v=b", direction="forward"
    )
    about = About(build="Waxed pouch", title="The body", video_url=VIDEO, parts=2, pointers=(pointer,))
    return prepare(log, about=about, link_book=[book], stills={"s1": picture})


def page_of(log: Log) -> str:
    return write("html", prepare(log, about=About(video_url=VIDEO))).decode()


def parsed(page: str) -> Any:
    """The page's tree. Raises for the first fault."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(page)


def test_valid_and_whole() -> None:
    page = write("html", full()).decode()
    tree = parsed(page)
    assert tree.find(".//h1").text == "The body"
    assert [h.text for h in tree.iterfind(".//h2")][:3] == ["Materials", "Tools", "Patterns and references"]
    assert [li.get("id") for li in tree.iterfind(".//ol/li") if li.get("id")] == ["step-1", "step-2", "step-3"]
    ids = [e.get("id") for e in tree.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    jump = next(a for a in tree.iterfind(".//a") if (a.text or "") == "1:10")
    assert jump.get("href") == "https://v.example/w?v=a&list=b&t=70"
    image = tree.find(".//img")
    assert Image.open(io.BytesIO(base64.b64decode(image.get("src").split(",")[1]))).size == (320, 180)
    assert (image.get("width"), image.get("height")) == ("320", "180")  # room is kept for it


def test_nothing_outside_is_needed_and_nothing_runs() -> None:
    tree = parsed(write("html", full()).decode())
    assert [s.get("type") for s in tree.iterfind(".//script")] == ["application/ld+json"]
    assert not [e.tag for e in tree.iter() if e.tag in ("link", "iframe", "object", "embed", "form", "base")]
    assert not [n for e in tree.iter() for n in e.attrib if str(n).startswith("on")]
    assert all(i.get("src").startswith("data:image/jpeg;") for i in tree.iterfind(".//img"))
    assert "url(" not in re.findall(r"<style>.*?</style>", write("html", full()).decode(), re.DOTALL)[0]


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(logs)
def test_any_log_gives_a_valid_page(log: Log) -> None:
    tree = parsed(page_of(log))
    assert len(list(tree.iterfind(".//script"))) == 1
    assert all(str(a.get("href")).startswith(("https://", "#step-")) for a in tree.iterfind(".//a"))


def test_hostile_words_are_only_words() -> None:
    for word in HOSTILE:
        log = pouch()
        log.recording.path = word
        for item in log.items:
            item.name = f"{word} {item.id}"
        for step in log.steps:
            step.text = f"{word}."
        for piece in log.pieces:
            piece.name = word
        for chapter in log.chapters:
            chapter.title = word
        tree = parsed(page_of(log))
        assert len(list(tree.iterfind(".//script"))) == 1
        assert len(list(tree.iterfind(".//style"))) == 1


@pytest.fixture(scope="module")
def browser() -> Any:
    assert CHROMIUM, "Chromium is needed: install the package “chromium”"
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.mark.parametrize(
    ("width", "scheme"), [(360, "light"), (1280, "light"), (1280, "dark")], ids=["phone", "desk", "dark"]
)
def test_axe_finds_no_barrier(browser: Any, tmp_path: Path, width: int, scheme: str) -> None:
    """axe-core's rules, WCAG 2.1 A and AA and its best practices; and nothing is wider than the window."""
    parts = [full(), prepare(lid(), about=About(build="Waxed pouch", title="The lid", number=2, parts=2))]
    for name, data in (("part", write("html", parts[0])), ("whole", write_whole("html", parts))):
        path = tmp_path / f"{name}.html"
        path.write_bytes(data)
        context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme, bypass_csp=True)
        page = context.new_page()
        faults: list[str] = []
        page.on("console", lambda m, faults=faults: faults.append(m.text) if m.type == "error" else None)
        page.goto(path.as_uri())
        assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        response = Axe().run(page).response
        assert len(response["passes"]) > 15  # it did look
        found = response["violations"]
        assert [(v["id"], [n["html"][:80] for n in v["nodes"]]) for v in found] == []
        assert faults == []
        context.close()


def test_a_link_that_pays_is_marked_on_every_page() -> None:
    for page in (write("html", full()).decode(), write_whole("html", [full()]).decode()):
        parsed(page)
        assert "(paid link)" in page
        assert 'rel="noopener sponsored"' in page
        assert "earn me a commission" in page


def test_no_step_is_parted_by_the_end_of_a_sheet(browser: Any, tmp_path: Path) -> None:
    """Chromium lays the sheets out; what is not to be parted is marked so, and the marks are in force on paper."""
    path = tmp_path / "a.html"
    path.write_bytes(write("html", full()))
    page = browser.new_page()
    page.goto(path.as_uri())
    page.emulate_media(media="print")
    inside = "[...document.querySelectorAll('.steps > li, .care, .tail')].map(e => getComputedStyle(e).breakInside)"
    after = "[...document.querySelectorAll('h2, h3')].map(e => getComputedStyle(e).breakAfter)"
    assert set(page.evaluate(inside)) == {"avoid"}
    assert set(page.evaluate(after)) == {"avoid"}
    # What is said small is not larger than the text beside it.
    sizes = "['.facts', '.what p'].map(s => parseFloat(getComputedStyle(document.querySelector(s)).fontSize))"
    small, text = page.evaluate(sizes)
    assert small < text


def test_every_still_is_there_before_anybody_scrolls(browser: Any, tmp_path: Path) -> None:
    """On paper too: a printer does not scroll. A step far down the page, seen in a small window."""
    log = pouch()
    log.steps = [Step(id=f"s{n}", start_s=n, end_s=n + 1, text=f"Fold edge {n} and press it.") for n in range(80)]
    picture = jpeg(Image.new("RGB", (320, 180), (90, 60, 30)))
    path = tmp_path / "a.html"
    path.write_bytes(write("html", prepare(log, stills={"s79": picture})))
    page = browser.new_page(viewport={"width": 360, "height": 600})
    page.goto(path.as_uri())
    assert page.evaluate("document.querySelector('img').naturalWidth") == 320
    box = page.evaluate("(r => [r.width, r.height])(document.querySelector('img').getBoundingClientRect())")
    assert box[0] / box[1] == pytest.approx(16 / 9, abs=0.03)


def test_no_sum_is_broken_on_a_phone(browser: Any, tmp_path: Path) -> None:
    """A table as wide as the smallest window: names may be broken, figures and headings of columns not."""
    log = pouch()
    log.items[0].name = "heavyweight olivegreen waxed canvas"
    log.items[0].price = Price(amount=12345.5, currency="GBP")
    path = tmp_path / "a.html"
    path.write_bytes(write_whole("html", [prepare(log, about=About(build="Waxed pouch"))]))
    page = browser.new_page(viewport={"width": 320, "height": 600})
    page.goto(path.as_uri())
    rows = """[...document.querySelectorAll('th, .cost')].map(e => {
        const r = document.createRange(); r.selectNodeContents(e); return [e.innerText, r.getClientRects().length]; })"""
    found = page.evaluate(rows)
    assert ["£12,345.50", 1] in found
    assert [text for text, lines in found if lines > 1] == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_on_paper(browser: Any, tmp_path: Path) -> None:
    """A short build prints on one or two sheets, and a link's address can be read there."""
    path = tmp_path / "a.html"
    path.write_bytes(write("html", full()))
    page = browser.new_page()
    page.goto(path.as_uri())
    pdf = page.pdf(format="A4", print_background=False)
    assert 1 <= len(re.findall(rb"/Type\s*/Page\b", pdf)) <= 2
    page.emulate_media(media="print")
    shown = page.evaluate("getComputedStyle(document.querySelector('.shop'), '::after').content")
    assert "https://shop.example/awl?a=1&b=2" in shown

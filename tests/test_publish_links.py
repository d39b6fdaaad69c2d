"""The link book at work: learning, mending, CSV, and asking a server that is really there."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from publish_log import lid, pouch
from test_publish_series import add

from buildlog.archive import Archive, BookLink
from buildlog.document import Price
from buildlog.edits import Anchor, AttachUrl
from buildlog.errors import BadInput
from buildlog.publish import box, check
from buildlog.publish.asking import ask, note_answers
from buildlog.publish.linkbook import from_csv, learn, replace, to_csv, to_mend, uses
from buildlog.publish.series import box_part

OLD, NEW = "https://shop.example/old?x=1&y=2", "https://shop.example/new"


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    with Archive.open(tmp_path / "a.sqlite3") as opened:
        add(opened, "Waxed pouch", 1, "The body", pouch())
        add(opened, "Waxed pouch", 2, "The lid", lid())
        yield opened


def attach(archive: Archive, url: str) -> None:
    anchor = Anchor(of="item", name="waxed canvas", start_s=8.0, kind="material")
    archive.edit(1, AttachUrl(at=anchor, url=url))


def test_what_is_attached_once_is_filled_in_next_time(archive: Archive) -> None:
    attach(archive, OLD)
    assert OLD in box_part(archive, archive.builds.part(1)).text
    assert OLD in box_part(archive, archive.builds.part(2)).text
    assert learn(archive) == []
    use = uses(archive)[0]
    assert (use.entry.thing, use.entry.learned_in) == ("waxed canvas", "Waxed pouch, part 1")
    assert use.entry.made_at[:2] == "20"
    assert use.parts == ["Waxed pouch, part 1", "Waxed pouch, part 2"]
    assert use.entry.price == Price(amount=14.0, currency="GBP")


def test_a_name_that_says_less_is_offered_not_taken() -> None:
    """ "Canvas" in the book may be another canvas than the waxed one: the maker is asked, the box stays without."""
    book = [BookLink(id=1, thing="canvas", url=OLD), BookLink(id=2, thing="waxed", url=NEW)]
    assert "shop.example" not in box(pouch(), link_book=book).text
    offered = [f for f in check(pouch(), link_book=book) if f.kind == "in_book"]
    assert [(f.blocks, f.text) for f in offered] == [
        (False, f"Waxed canvas has no link, and your link book has “canvas”: {OLD}")
    ]
    two = [*book, BookLink(id=3, thing="the canvas", url=NEW)]
    assert not [f for f in check(pouch(), link_book=two) if f.kind == "in_book"]  # which of them?


def test_undo_takes_out_what_the_book_learned_and_redo_puts_it_back(archive: Archive) -> None:
    attach(archive, OLD)
    archive.undo(1)
    assert archive.links.all() == []
    assert OLD not in box_part(archive, archive.builds.part(2)).text
    archive.redo(1)
    assert [e.url for e in archive.links.all()] == [OLD]
    archive.links.keep("waxed canvas", OLD, shop="the mill")  # the maker told more: it is theirs now
    archive.undo(1)
    assert [e.shop for e in archive.links.all()] == ["the mill"]


def test_a_link_that_was_promised_is_learned_by_what_it_is_for(archive: Archive) -> None:
    log = archive.log(1)
    owed = log.links_owed[0]
    archive.edit(1, AttachUrl(at=Anchor(of="link", name=owed.what, start_s=owed.start_s), url=OLD))
    archive.edit(1, AttachUrl(at=Anchor(of="link", name=owed.what, start_s=owed.start_s), url=NEW))
    assert {(e.thing, e.url) for e in archive.links.all()} == {("thread", OLD), ("thread", NEW)}
    archive.edit(1, AttachUrl(at=Anchor(of="link", name=owed.what, start_s=owed.start_s), url=None))
    assert len(archive.links.all()) == 2  # taking a link off a thing says nothing about the link


def test_an_edit_whose_url_is_none_teaches_nothing(archive: Archive) -> None:
    with pytest.raises(BadInput):
        attach(archive, "javascript:alert(1)")
    assert archive.links.all() == []


def test_learning_catches_up_with_urls_attached_before(archive: Archive) -> None:
    """Archives from before the book learned by itself."""
    attach(archive, OLD)
    archive.links.remove(archive.links.all()[0].id)
    assert [e.thing for e in learn(archive)] == ["waxed canvas"]
    assert learn(archive) == []


def test_a_dead_link_lists_what_to_mend_with_the_new_text(archive: Archive) -> None:
    attach(archive, OLD)
    learn(archive)
    mends = to_mend(archive, OLD)
    assert [m.label for m in mends] == ["Waxed pouch, part 1", "Waxed pouch, part 2"]
    assert all(OLD not in m.box.text and m.things == ["Waxed canvas"] for m in mends)
    archive.links.keep("waxed canvas", OLD, alternatives=[NEW])
    assert all(NEW in m.box.text for m in to_mend(archive, OLD))
    assert OLD in box_part(archive, archive.builds.part(1)).text  # only said, not done
    done = replace(archive, OLD, NEW)
    for mend in done:
        assert box_part(archive, archive.builds.part(mend.part_id)).text == mend.box.text
        assert NEW in mend.box.text
    assert [e.url for e in archive.links.all()] == [NEW]
    assert to_mend(archive, OLD) == []
    with pytest.raises(BadInput):
        replace(archive, NEW, "javascript:alert(1)")


def test_the_book_comes_back_from_its_table(archive: Archive, tmp_path: Path) -> None:
    archive.links.keep("=cmd()", "https://a.example/=1", price=Price(amount=4.5, currency="GBP"), shop="+shop, “x”")
    entry = archive.links.keep("waxed cord", OLD, pays_maker=True, alternatives=[NEW, "https://b.example/"])
    archive.links.set_checked(entry.id, answered=False, at="2026-01-02T03:04:05+00:00")
    text = to_csv(archive.links.all())
    assert not [row for row in text.removeprefix("\ufeff").split("\r\n") if row.startswith(("=", "+", "-", "@"))]
    with Archive.open(tmp_path / "b.sqlite3") as other:
        assert from_csv(other, text) == 2
        for a, b in zip(archive.links.all(), other.links.all(), strict=True):
            assert (a.thing, a.url, a.price, a.shop, a.pays_maker) == (b.thing, b.url, b.price, b.shop, b.pays_maker)
            assert (a.alternatives, a.checked_at, a.answered) == (b.alternatives, b.checked_at, b.answered)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("name,address\nawl,https://a.example\n", "thing"),
        ("thing,url\nawl,https://a.example\ncord,javascript:alert(1)\n", "line 3"),
        ("thing,url\nawl,\n", "line 2"),
        ("thing,url,price\nawl,https://a.example,cheap\n", "price"),
        ("thing,url,pays me\nawl,https://a.example,perhaps\n", "yes nor no"),
        ('thing,url\n"awl,https://a.example\n', "not a table"),
        ("", "thing"),
    ],
)
def test_a_bad_table_changes_nothing(archive: Archive, text: str, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        from_csv(archive, text)
    assert archive.links.all() == []


# Asking -------------------------------------------------------------------------------------------------------------


class Shop(BaseHTTPRequestHandler):
    """Answers as its paths say; counts how many it serves at once."""

    at_once = most = 0
    seen: list[tuple[str, str]] = []  # noqa: RUF012 (of the class on purpose)
    lock = threading.Lock()

    def do_HEAD(self) -> None:
        self.answer()

    def do_GET(self) -> None:
        self.answer()

    def answer(self) -> None:
        cls = type(self)
        with cls.lock:
            cls.at_once += 1
            cls.most = max(cls.most, cls.at_once)
            cls.seen.append((self.command, self.path))
        try:
            time.sleep(1.5 if self.path == "/slow" else 0.05)
            code = {"/gone": 404, "/shy": 403, "/loop": 302, "/file": 302, "/moved": 302}.get(self.path, 200)
            if self.path == "/nohead" and self.command == "HEAD":
                code = 500
            self.send_response(code)
            where = {"/loop": "/loop", "/file": "file:///etc/passwd", "/moved": "/there"}.get(self.path)
            if where:
                self.send_header("Location", where)
            self.send_header("Content-Length", "0")
            self.end_headers()
        finally:
            with cls.lock:
                cls.at_once -= 1

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def shop(monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    for name in ("http_proxy", "https_proxy", "all_proxy", "HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Shop, "seen", [])
    monkeypatch.setattr(Shop, "most", 0)
    server = ThreadingHTTPServer(("127.0.0.1", 0), Shop)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


def test_links_that_answer_and_links_that_do_not(shop: str) -> None:
    wanted = {
        "/there": True,
        "/gone": False,
        "/shy": True,
        "/nohead": True,
        "/loop": False,
        "/file": False,
        "/moved": True,
    }
    answers = ask([shop + path for path in wanted], timeout_s=5)
    assert {a.url.removeprefix(shop): a.answered for a in answers} == wanted
    nowhere = ask(["http://127.0.0.1:9/x", "http://no-such-host.invalid/", "ftp://a.example/x"], timeout_s=2)
    assert [a.answered for a in nowhere] == [False, False, False]
    assert all(a.why for a in nowhere)


def test_a_slow_link_is_given_up_and_only_a_few_are_asked_at_once(shop: str) -> None:
    began = time.monotonic()
    (slow,) = ask([f"{shop}/slow"], timeout_s=0.3)
    assert not slow.answered
    assert time.monotonic() - began < 2
    ask([f"{shop}/{n}" for n in range(12)], timeout_s=5, at_once=3)
    assert Shop.most <= 4  # the slow one may still be there
    ask([f"{shop}/same"] * 5)
    assert [path for _, path in Shop.seen].count("/same") == 1


def test_answers_are_kept_in_the_book(archive: Archive, shop: str) -> None:
    archive.links.keep("awl", f"{shop}/gone")
    archive.links.keep("cord", f"{shop}/there")
    note_answers(archive, ask([e.url for e in archive.links.all()]))
    assert {e.thing: e.answered for e in archive.links.all()} == {"awl": False, "cord": True}
    assert all(e.checked_at for e in archive.links.all())

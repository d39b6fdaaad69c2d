"""Asking whether links still answer: only when the maker says so, with time-outs, a few at once."""

from __future__ import annotations

import urllib.error
import urllib.request
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPException
from typing import TYPE_CHECKING, Any, NamedTuple

from buildlog.publish.plain import safe_url

if TYPE_CHECKING:
    from buildlog.archive import Archive

TIMEOUT_S = 10.0
AT_ONCE = 4
# A page that is there but not for machines answers so: the link is not dead.
_THERE = {401, 402, 403, 405, 406, 407, 429, 451, 501, 503}
_AGENT = "buildlog link check"


class Answer(NamedTuple):
    """What a URL answered: its status, or why there was none."""

    url: str
    answered: bool
    why: str


class _OnlyHttp(urllib.request.HTTPRedirectHandler):
    """Redirects lead to web addresses only."""

    max_redirections = 5

    def redirect_request(self, req: Any, fp: Any, code: int, msg: str, headers: Any, newurl: str) -> Any:
        if safe_url(newurl) is None:
            raise urllib.error.URLError("leads to something that is no web address")
        return super().redirect_request(req, fp, code, msg, headers, newurl)


def ask(urls: Sequence[str], *, timeout_s: float = TIMEOUT_S, at_once: int = AT_ONCE) -> list[Answer]:
    """Ask each URL once, ``at_once`` at a time; answers in the order of ``urls``. Nothing but the address is sent."""
    with ThreadPoolExecutor(max(1, at_once)) as pool:
        return list(pool.map(lambda url: _ask(url, timeout_s), dict.fromkeys(urls)))


def _ask(url: str, timeout_s: float) -> Answer:
    if safe_url(url) is None:
        return Answer(url, False, "no web address")
    answer = _request(url, "HEAD", timeout_s)
    # Some servers know no HEAD, or answer it with nonsense; one that says nothing at all is not asked again.
    return _request(url, "GET", timeout_s) if not answer.answered and answer.why.isdigit() else answer


def _request(url: str, method: str, timeout_s: float) -> Answer:
    opener = urllib.request.build_opener(_OnlyHttp)
    request = urllib.request.Request(url, method=method, headers={"User-Agent": _AGENT, "Accept": "*/*"})
    try:
        with opener.open(request, timeout=timeout_s) as response:
            return Answer(url, True, str(response.status))
    except urllib.error.HTTPError as error:
        with error:
            return Answer(url, error.code in _THERE, str(error.code))
    except (urllib.error.URLError, HTTPException, OSError, ValueError) as error:
        reason = getattr(error, "reason", None) or error
        return Answer(url, False, str(reason) or type(reason).__name__)


def note_answers(archive: Archive, answers: Sequence[Answer]) -> None:
    """Keep in the link book what answered and when."""
    by_url = {a.url: a for a in answers}
    for entry in archive.links.all():
        if entry.url in by_url:
            archive.links.set_checked(entry.id, answered=by_url[entry.url].answered)

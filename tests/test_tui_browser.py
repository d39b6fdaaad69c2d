"""The served bench in headless Chromium: keys typed in the page change the archive, and the page asks nobody else."""

from __future__ import annotations

import asyncio
import contextlib
import json
import re
import shutil
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import aiohttp
import pytest
from bench_log import tool_roll
from buildlog_tui.serving import names_for
from tui_logs import put

from buildlog.opening import open_archive

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


class Page:
    """A page of Chromium, spoken to by its remote debugging protocol."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse) -> None:
        self._socket = socket
        self._number = 0
        self.asked: list[str] = []

    async def call(self, method: str, **params: Any) -> Any:
        """One command; events that come meanwhile are noted."""
        self._number += 1
        await self._socket.send_json({"id": self._number, "method": method, "params": params})
        while True:
            got = json.loads((await self._socket.receive(timeout=20)).data)
            self._note(got)
            if got.get("id") == self._number:
                return got.get("result", {})

    async def listen(self, seconds: float) -> None:
        """Note events for a while."""
        until = asyncio.get_running_loop().time() + seconds
        while (left := until - asyncio.get_running_loop().time()) > 0:
            with contextlib.suppress(TimeoutError):
                self._note(json.loads((await self._socket.receive(timeout=left)).data))

    def _note(self, got: dict[str, Any]) -> None:
        if got.get("method") == "Network.requestWillBeSent":
            self.asked.append(got["params"]["request"]["url"])
        if got.get("method") == "Network.webSocketCreated":
            self.asked.append(got["params"]["url"])

    async def type(self, text: str) -> None:
        """Type into the page."""
        for c in text:
            await self.call("Input.dispatchKeyEvent", type="keyDown", text=c, key=c)
            await self.call("Input.dispatchKeyEvent", type="keyUp", key=c)


@contextlib.asynccontextmanager
async def chromium(folder: Path) -> AsyncIterator[Page]:
    assert CHROMIUM is not None
    port = free_port()
    process = subprocess.Popen(
        [CHROMIUM, "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking",
         "--no-first-run", "--window-size=1200,700", f"--user-data-dir={folder}", f"--remote-debugging-port={port}",
         "about:blank"],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        async with aiohttp.ClientSession() as session:
            for _ in range(300):
                with contextlib.suppress(aiohttp.ClientError):
                    async with session.get(f"http://127.0.0.1:{port}/json") as answer:
                        pages = [p for p in await answer.json(content_type=None) if p["type"] == "page"]
                        if pages:
                            break
                await asyncio.sleep(0.1)
            async with session.ws_connect(pages[0]["webSocketDebuggerUrl"], max_msg_size=0) as talk:
                yield Page(talk)
    finally:
        process.kill()
        process.wait()


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here")
async def test_the_bench_in_a_browser(tmp_path: Path) -> None:
    path = tmp_path / "a.sqlite3"
    with open_archive(path) as archive:
        part = put(archive, tool_roll(), build="tool roll")
        port = free_port()
        line = [
            sys.executable,
            "-m",
            "buildlog.cli.main",
            "bench",
            "--browser",
            "--port",
            str(port),
            "--archive",
            str(path),
        ]
        server = subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        try:
            for _ in range(300):
                with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
                    break
                await asyncio.sleep(0.1)
            _refuses_others(port)
            async with chromium(tmp_path / "chromium") as page:
                await page.call("Network.enable")
                await page.call("Page.enable")
                await page.call("Page.navigate", url=f"http://127.0.0.1:{port}/")
                for _ in range(150):
                    await page.listen(0.2)
                    shown = await page.call("Runtime.evaluate", expression="document.body.className")
                    if "-first-byte" in str(shown):
                        break
                await page.listen(2.0)
                for _ in range(20):
                    await page.call("Runtime.evaluate", expression="document.querySelector('textarea').focus()")
                    await page.type("nkt")
                    await page.listen(1.0)
                    if archive.edits(part.id):
                        break
                assert archive.log(part.id).items[1].kind == "tool"
                title = await page.call("Runtime.evaluate", expression="document.title")
                assert title["result"]["value"] == "tool roll, part 1 – bench"
                assert len(page.asked) >= 4
                for url in page.asked:
                    assert re.match(rf"(http|ws)://127\.0\.0\.1:{port}/|data:", url), url
        finally:
            server.terminate()
            server.wait(10)


def _refuses_others(port: int) -> None:
    """Another site's page, or another name for this machine, is turned away; the page itself is served."""
    ours = {"Host": f"127.0.0.1:{port}"}
    with urllib.request.urlopen(urllib.request.Request(f"http://127.0.0.1:{port}/", headers=ours)) as answer:
        html = answer.read().decode()
        assert answer.headers["Content-Security-Policy"]
    assert "https://" not in html
    for headers in ({"Host": "evil.example"}, {**ours, "Origin": "http://evil.example"}):
        for place in ("/", "/ws"):
            with pytest.raises(urllib.error.HTTPError) as refused:
                urllib.request.urlopen(urllib.request.Request(f"http://127.0.0.1:{port}{place}", headers=headers))
            assert refused.value.code == 403


def test_names_a_server_answers_to() -> None:
    assert names_for("127.0.0.1") == {"127.0.0.1", "localhost", "::1"}
    assert names_for("192.168.1.5") == {"192.168.1.5"}
    assert names_for("0.0.0.0") is None

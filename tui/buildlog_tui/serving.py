"""The bench in a browser, served on this machine only unless told otherwise.

The page is our own and asks nothing of the internet. A page of another site that is open in the same browser could
try to reach the bench: its requests carry that site's name as origin or host, and are refused.
"""

from __future__ import annotations

import ipaddress
import shlex
import subprocess
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path
from urllib.parse import urlsplit

from aiohttp import web
from textual_serve.server import Server

from buildlog.archive import Part
from buildlog.errors import BadInput, one_line

_Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class BenchServer(Server):  # type: ignore[misc]
    """Serves one command to browsers that ask for it by the name it is served under."""

    def __init__(self, command: str, host: str, port: int, title: str) -> None:
        super().__init__(command, host=host, port=port, title=title, templates_path=Path(__file__).parent / "templates")
        self.allowed = names_for(host)

    async def _make_app(self) -> web.Application:
        app: web.Application = await super()._make_app()
        app.middlewares.append(self._only_us)
        return app

    @web.middleware
    async def _only_us(self, request: web.Request, handler: _Handler) -> web.StreamResponse:
        origin = request.headers.get("Origin")
        asked = urlsplit(f"//{request.headers.get('Host', '')}").hostname
        came = urlsplit(origin).netloc if origin is not None else None
        if self.allowed is not None and asked not in self.allowed:
            raise web.HTTPForbidden(text="This bench is served under another name.")
        if came is not None and came != request.headers.get("Host"):
            raise web.HTTPForbidden(text="This bench can only be used from its own page.")
        response = await handler(request)
        if not response.prepared:
            # Scripts and styles of our own only; nothing from elsewhere, and in nobody's frame.
            response.headers["Content-Security-Policy"] = (
                "default-src 'self'; style-src 'self' 'unsafe-inline'; script-src 'self' 'unsafe-inline'; "
                "font-src 'self' data:; img-src 'self' data:; connect-src 'self' ws: wss:; frame-ancestors 'none'"
            )
            response.headers["Referrer-Policy"] = "no-referrer"
        return response

    async def on_startup(self, app: web.Application) -> None:
        """Say where it is."""
        self.console.print(f"The bench is at {self.public_url}  (ctrl+c ends it)", highlight=False)

    def initialize_logging(self) -> None:
        """Nothing is logged: addresses of a maker's own pages are nobody's business."""


def names_for(host: str) -> frozenset[str] | None:
    """The host names under which a server bound to ``host`` may be asked; ``None`` where any will do."""
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return frozenset({host, "localhost"}) if host == "localhost" else frozenset({host})
    if address.is_loopback:
        return frozenset({host, "localhost", "127.0.0.1", "::1"})
    return None if address.is_unspecified else frozenset({host})


def serve(archive: Path, part: Part, *, host: str, port: int, look: str) -> None:
    """Serve the bench until ctrl+c. Raises :class:`BadInput` where the address cannot be served on."""
    line = [
        sys.executable, "-m", "buildlog.cli.main", "bench", "--archive", str(archive.absolute()),
        "--part", str(part.number), "--look", look, "--", part.build,
    ]  # fmt: skip
    command = subprocess.list2cmdline(line) if sys.platform == "win32" else shlex.join(line)
    if port == 0:
        port = _free_port(host)
    try:
        BenchServer(command, host, port, f"{part.label} – bench").serve()
    except OSError as error:
        told = f"cannot serve on {one_line(host, 60)} port {port}: {error.strerror or one_line(error)}"
        raise BadInput(f"{told}; name another with --port") from error


def _free_port(host: str) -> int:
    import socket

    try:
        with socket.create_server((host, 0)) as taken:
            return int(taken.getsockname()[1])
    except OSError as error:
        raise BadInput(
            f"cannot serve on {one_line(host, 60)}: {error.strerror}; name an address of this machine"
        ) from error

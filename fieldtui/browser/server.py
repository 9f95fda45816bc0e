"""The web server: pages, the passphrase, and one websocket for each screen."""

from __future__ import annotations

import asyncio
import contextlib
import json
import logging
import re
import signal
import time
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, field
from urllib.parse import parse_qsl

from aiohttp import WSMsgType, web

from fieldtui.browser import pages
from fieldtui.browser.access import Attempts, Link, Phrases, Role, Tickets
from fieldtui.browser.addresses import host_allowed, is_loopback, own_names, same_origin
from fieldtui.browser.door import Door
from fieldtui.browser.keystrokes import buttons, keys_of_a_viewer
from fieldtui.browser.seats import REFUSED, FullError, Seat, Seats, Wish

MOST_MESSAGE_BYTES = 16 * 1024
MOST_FORM_BYTES = 8 * 1024
HEARTBEAT_SECONDS = 10.0
CHECK_SECONDS = 5.0
"""Between two looks at the tickets of those who have a screen."""
_FORM = "application/x-www-form-urlencoded"
_TAB = re.compile(r"[0-9a-f]{16}")
_Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


@dataclass(frozen=True, slots=True)
class Serving:
    """What is served, to whom."""

    bind: str
    port: int
    command_for: Callable[[Role, bool], Sequence[str]]
    """The words of a session for a role, in light or dark colours; raises ValueError in words."""
    environment: Mapping[str, str]
    keys: Mapping[str, str]
    """The key of every action of the screen."""
    phrases: Phrases = field(default_factory=lambda: Phrases(None))
    most: int = 3
    view_only: bool = False
    names: frozenset[str] = frozenset()
    """Further names of this machine."""
    link: Link | None = None
    """Who comes with this link is let in; where there are no phrases, nobody else is."""
    told_link: Callable[[str], None] = lambda _: None
    """Gets the next link when one was used."""

    @property
    def locked(self) -> bool:
        """Whether anybody has to show that they may come in."""
        return self.phrases.needed or self.link is not None


class BrowserServer:
    """Serves until told to stop."""

    def __init__(self, serving: Serving) -> None:
        self.serving = serving
        self.seats = Seats(serving.most, serving.command_for, serving.environment)
        self._names = own_names() | serving.names
        self._attempts, self._tickets = Attempts(), Tickets()
        for loopback in ("127.0.0.1", "::1"):
            # Who comes through a tunnel is not kept out by those who guess from the network.
            self._attempts.succeeded(loopback)
        self._viewer_keys = keys_of_a_viewer(serving.keys)
        self._cookie = f"fieldtui-{serving.port}"
        self._door: Door | None = None

    def application(self) -> web.Application:
        """Its routes."""
        app = web.Application(middlewares=[self._guard], client_max_size=MOST_FORM_BYTES)
        app.on_response_prepare.append(self._put_headers)
        app.router.add_get("/in/{word}", self._come_in)
        for path, role in (("/", Role.WORK), ("/view", Role.VIEW)):
            app.router.add_get(path, self._page(role))
            app.router.add_get(f"{path.rstrip('/')}/screen", self._screen(role))
        app.router.add_get("/may/{role}", self._may)
        app.router.add_post("/enter", self._enter)
        app.router.add_post("/out", self._out)
        for name in pages.FILES:
            app.router.add_get(f"/{name}", self._file(name))
        return app

    # Every request

    @web.middleware
    async def _guard(self, request: web.Request, handler: _Handler) -> web.StreamResponse:
        if not host_allowed(request.host, self._names):
            raise web.HTTPForbidden(
                text="This machine is not known by that name: use its address, or start it with --name NAME.\n"
            )
        if request.method == "POST" and not self._own_page(request):
            raise web.HTTPForbidden(text="That page is not one of ours.\n")
        with self._answering(request):
            try:
                return await handler(request)
            except (web.HTTPException, ConnectionError, asyncio.CancelledError):
                raise
            except Exception:  # noqa: BLE001  (whatever a client sends, it gets one line, and the console none)
                raise web.HTTPBadRequest(text="That cannot be understood.\n") from None

    def _answering(self, request: web.Request) -> contextlib.AbstractContextManager[None]:
        return self._door.answering(request.transport) if self._door else contextlib.nullcontext()

    def _own_page(self, request: web.Request) -> bool:
        return same_origin(request.headers.get("Origin"), request.host)

    async def _put_headers(self, request: web.Request, response: web.StreamResponse) -> None:
        host = request.host if host_allowed(request.host, self._names) else "localhost"
        response.headers.update(pages.headers(host))

    # Who

    def _ticket(self, request: web.Request) -> str:
        return request.cookies.get(self._cookie, "")

    def _role(self, request: web.Request) -> Role:
        most = Role.VIEW if self.serving.view_only else Role.WORK
        if not self.serving.locked:
            return most
        return min(most, self._tickets.role_of(self._ticket(request), time.monotonic()))

    def _clear(self, request: web.Request) -> bool:
        """Whether what is sent can be read on the way. A tunnel ends at the loopback address."""
        return not (request.secure or is_loopback(self.serving.bind) or is_loopback(request.remote or ""))

    def _page(self, wanted: Role) -> _Handler:
        async def page(request: web.Request) -> web.StreamResponse:
            role = self._role(request)
            if wanted is Role.WORK and (role is Role.VIEW or self.serving.view_only):
                raise web.HTTPSeeOther("/view")
            if role < wanted:
                return _html(pages.enter_page(wanted, "", clear=self._clear(request)), 401)
            told = buttons(self.serving.keys, view=wanted is Role.VIEW)
            may_leave = self.serving.locked
            return _html(pages.screen_page(wanted, told, clear=self._clear(request), may_leave=may_leave))

        return page

    async def _may(self, request: web.Request) -> web.StreamResponse:
        """A page that cannot connect asks whether it is still let in."""
        wanted = Role.VIEW if request.match_info["role"] == "view" else Role.WORK
        return web.Response(status=204 if self._role(request) >= wanted else 401)

    async def _enter(self, request: web.Request) -> web.StreamResponse:
        now, client = time.monotonic(), request.remote or ""
        form = await _form(request)
        wanted = Role.VIEW if form.get("to") == "view" else Role.WORK
        clear = self._clear(request)
        wait = self._attempts.wait_seconds(client, now)
        if wait > 0:
            seconds = int(wait) + 1
            response = _html(
                pages.enter_page(wanted, f"too many wrong phrases: try again in {seconds} s", clear=clear),
                429,
            )
            response.headers["Retry-After"] = str(seconds)
            return response
        role = self.serving.phrases.role_of(form.get("phrase", ""))
        if role is Role.NOBODY or (role < wanted and wanted is Role.WORK and self.serving.view_only):
            self._attempts.failed(client, now)
            return _html(pages.enter_page(wanted, "that is not the passphrase", clear=clear), 403)
        self._attempts.succeeded(client)
        return self._let_in(request, role, "/view" if min(role, wanted) < 2 else "/")

    def _let_in(self, request: web.Request, role: Role, to: str) -> web.Response:
        self._tickets.take_back(self._ticket(request))
        response = web.Response(status=303, headers={"Location": to})
        ticket = self._tickets.give(role, time.monotonic())
        response.set_cookie(
            self._cookie, ticket, httponly=True, samesite="Strict", secure=request.secure, path="/"
        )
        return response

    async def _come_in(self, request: web.Request) -> web.StreamResponse:
        """By the link that was printed: it is good once, and then the next one is told."""
        link, now, client = self.serving.link, time.monotonic(), request.remote or ""
        if (
            link is None
            or self._attempts.wait_seconds(client, now) > 0
            or not link.used(request.match_info["word"])
        ):
            self._attempts.failed(client, now)
            raise web.HTTPForbidden(
                text="That link was used, or is not one of ours: take the newest from the console.\n"
            )
        self.serving.told_link(link.word)
        role = Role.VIEW if self.serving.view_only else Role.WORK
        return self._let_in(request, role, "/view" if role is Role.VIEW else "/")

    async def _out(self, request: web.Request) -> web.StreamResponse:
        ticket = self._ticket(request)
        if self._tickets.role_of(ticket, time.monotonic()) > Role.NOBODY:
            self._tickets.take_back(ticket)
            await self.seats.end_of(ticket)
        response = web.Response(status=303, headers={"Location": "/"})
        response.del_cookie(self._cookie, path="/")
        return response

    def _file(self, name: str) -> _Handler:
        async def send(_: web.Request) -> web.StreamResponse:
            return web.Response(body=pages.file(name), content_type=pages.FILES[name], charset="utf-8")

        return send

    # The screen

    def _screen(self, wanted: Role) -> _Handler:
        async def screen(request: web.Request) -> web.StreamResponse:
            if not self._own_page(request):
                raise web.HTTPForbidden(text="That page is not one of ours.\n")
            if self._role(request) < wanted:
                raise web.HTTPUnauthorized(text="Enter the passphrase first.\n")
            socket = web.WebSocketResponse(heartbeat=HEARTBEAT_SECONDS, max_msg_size=MOST_MESSAGE_BYTES)
            await socket.prepare(request)
            with contextlib.suppress(ConnectionError):
                await self._seat_somebody(socket, self._wish(request, wanted))
            return socket

        return screen

    def _wish(self, request: web.Request, role: Role) -> Wish:
        query = request.query
        tab = query.get("tab", "")
        return Wish(
            ticket=self._ticket(request) if self.serving.locked else "",
            tab=tab if _TAB.fullmatch(tab) else "",
            role=role,
            columns=_bounded(query.get("columns"), 20, 400, 80),
            rows=_bounded(query.get("rows"), 5, 200, 24),
            light=query.get("look") == "light",
        )

    async def _seat_somebody(self, socket: web.WebSocketResponse, wish: Wish) -> None:
        try:
            seat = await self.seats.take(wish)
        except (FullError, ValueError, OSError) as error:
            await socket.send_json(["refused", str(error)])
            await socket.close(code=REFUSED)
            return
        self.seats.sit(seat, socket)
        showing = asyncio.create_task(seat.show(socket))
        try:
            async for message in socket:
                if message.type is WSMsgType.TEXT:
                    self._take(seat, message.data)
        finally:
            self.seats.leave(seat, socket)
            showing.cancel()
            await asyncio.gather(showing, return_exceptions=True)

    def _take(self, seat: Seat, text: str) -> None:
        """What a page sends: keys, or its size. Anything else is passed over."""
        try:
            told = json.loads(text)
        except (ValueError, RecursionError):
            return
        match told:
            case _ if not self._still_in(seat):
                pass
            case ["keys", str(keys)] if seat.wish.role is Role.WORK or keys in self._viewer_keys:
                seat.program.send(keys.encode("utf-8", "replace"))
            case ["size", int(columns), int(rows)]:
                seat.program.resize(min(max(columns, 20), 400), min(max(rows, 5), 200))
            case _:
                pass

    def _still_in(self, seat: Seat) -> bool:
        """Whether the ticket of a screen is still good: it runs out after a long day."""
        return (
            not seat.wish.ticket
            or self._tickets.role_of(seat.wish.ticket, time.monotonic()) >= seat.wish.role
        )

    async def _end_what_ran_out(self) -> None:
        while True:
            await asyncio.sleep(CHECK_SECONDS)
            for ticket in {seat.wish.ticket for seat in self.seats.all if not self._still_in(seat)}:
                await self.seats.end_of(ticket)

    # Running

    async def run(self, told: Callable[[int], None]) -> None:
        """Serve until SIGINT or SIGTERM; `told` gets the port once it listens.

        Raises:
            OSError: the address cannot be listened on.
        """
        stop = asyncio.Event()
        loop = asyncio.get_running_loop()
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            loop.add_signal_handler(number, stop.set)
        # What a client sends must not fill a log: what is wrong with it is told to the client.
        for name in ("aiohttp.server", "aiohttp.access", "aiohttp.web"):
            logging.getLogger(name).setLevel(logging.CRITICAL)
        runner = web.AppRunner(self.application(), access_log=None, shutdown_timeout=2.0)
        await runner.setup()
        assert runner.server is not None
        self._door = Door(runner.server)
        server = None
        try:
            server = await loop.create_server(self._door, self.serving.bind, self.serving.port, backlog=64)
            checking = asyncio.create_task(self._end_what_ran_out())
            told(server.sockets[0].getsockname()[1])
            await stop.wait()
            checking.cancel()
        finally:
            if server is not None:
                server.close()
            self._door.close()
            await self.seats.close()
            await runner.cleanup()


async def _form(request: web.Request) -> dict[str, str]:
    """The fields of the one form that there is, the first of each name.

    Raises HTTPBadRequest for any other kind of body: what takes none apart cannot be broken by one.
    """
    if request.content_type != _FORM or "Content-Encoding" in request.headers:
        raise web.HTTPBadRequest(text="That is not the form of this page.\n")
    body = await request.content.read(MOST_FORM_BYTES + 1)
    if len(body) > MOST_FORM_BYTES:
        raise web.HTTPRequestEntityTooLarge(MOST_FORM_BYTES, len(body))
    pairs = parse_qsl(body.decode("utf-8", "replace"), keep_blank_values=True, max_num_fields=20)
    return dict(reversed(pairs))


def _html(text: str, status: int = 200) -> web.Response:
    return web.Response(text=text, content_type="text/html", status=status)


def _bounded(text: str | None, least: int, most: int, otherwise: int) -> int:
    if text and text.isascii() and text.isdigit() and len(text) < 6:
        return min(max(int(text), least), most)
    return otherwise

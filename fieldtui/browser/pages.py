"""The two pages, and what every answer says to the browser. Nothing in them comes from anywhere but here."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from html import escape
from pathlib import Path
from string import Template

from fieldtui.browser.access import Role

_FOLDER = Path(__file__).parent / "static"

FILES = {
    "look.css": "text/css",
    "screen.js": "text/javascript",
    "keys.js": "text/javascript",
    "line.js": "text/javascript",
    "page.js": "text/javascript",
}
"""What a page may fetch, with its type. There is nothing else to be had."""

CLEAR_TEXT = "What is typed and shown here travels in clear text."
CLEAR_TEXT_REMEDY = (
    "Anybody on the way can read it, the passphrase too. "
    "Use a tunnel (ssh -L), a VPN, or a network of your own that nobody else is on."
)


@cache
def file(name: str) -> bytes:
    """A file that a page fetches."""
    return (_FOLDER / name).read_bytes()


@cache
def _template(name: str) -> Template:
    return Template((_FOLDER / name).read_text("utf-8"))


def screen_page(
    role: Role, buttons: Mapping[str, str], more: Mapping[str, str], *, clear: bool, may_leave: bool
) -> str:
    """The page with the terminal in it."""
    view = role is Role.VIEW
    return _template("screen.html").substitute(
        role="view" if view else "work",
        base="/view" if view else "",
        title="watching" if view else "session",
        buttons=escape(json.dumps(dict(buttons)), quote=True),
        more=escape(json.dumps(dict(more)), quote=True),
        clear=f'<p id="clear">{escape(CLEAR_TEXT)}</p>' if clear else "",
        out='<form method="post" action="/out"><button>sign out</button></form>' if may_leave else "",
    )


def enter_page(wanted: Role, words: str, *, clear: bool) -> str:
    """The page that asks for the passphrase; `words` say what was wrong with the last one."""
    return _template("enter.html").substitute(
        to="view" if wanted is Role.VIEW else "work",
        words=escape(words),
        clear=escape(f"{CLEAR_TEXT} {CLEAR_TEXT_REMEDY}") if clear else "",
    )


def headers(host: str) -> dict[str, str]:
    """Of every answer. Older browsers do not count the same host's websocket as `self`, so it is named."""
    policy = (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
        f"connect-src 'self' ws://{host} wss://{host}; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )
    return {
        "Content-Security-Policy": policy,
        "X-Content-Type-Options": "nosniff",
        "X-Frame-Options": "DENY",
        # With `no-referrer` browsers send a form's Origin as null, and then it could not be checked.
        "Referrer-Policy": "same-origin",
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
        "Permissions-Policy": "camera=(), microphone=(), geolocation=(), clipboard-read=()",
        "Cache-Control": "no-store",
        "Server": "fieldtui",
    }

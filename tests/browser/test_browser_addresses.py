"""Which names and pages are let in: a page elsewhere must not be able to pose as one of ours."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.browser.addresses import host_allowed, is_loopback, own_names, reachable_hosts, same_origin

NAMES = frozenset({"localhost", "hill", "hill.local"})


@pytest.mark.parametrize(
    "host",
    ["localhost", "localhost:9000", "127.0.0.1:8023", "[::1]:8023", "192.0.2.7", "HILL.local:80", "hill."],
)
def test_addresses_and_own_names_are_let_in(host):
    assert host_allowed(host, NAMES)


@pytest.mark.parametrize(
    "host",
    [
        "", "elsewhere.example", "elsewhere.example:8023", "127.0.0.1.elsewhere.example", "localhost.elsewhere.example",
        "hill.local@elsewhere.example", "hill/..", "[::1", "hill:port", "0x7f.1", "hill local", "127.1",
    ],
)  # fmt: skip
def test_other_names_are_not(host):
    assert not host_allowed(host, NAMES)


@given(st.text(max_size=80))
def test_no_host_header_breaks_it(text):
    assert host_allowed(text, ()) in (True, False)
    assert same_origin(text, "hill:8023") == (text.lower() in ("http://hill:8023", "https://hill:8023"))


@pytest.mark.parametrize(
    "origin",
    [
        None, "", "null", "http://elsewhere.example", "http://127.0.0.1:9999", "http://127.0.0.1", "file://",
        "http://127.0.0.1:8023/", "http://me@127.0.0.1:8023", "ws://127.0.0.1:8023", "http://127.0.0.1:8023.example",
    ],
)  # fmt: skip
def test_only_a_page_of_ours_is_of_our_origin(origin):
    assert not same_origin(origin, "127.0.0.1:8023")
    assert same_origin("http://127.0.0.1:8023", "127.0.0.1:8023")


def test_loopback_addresses_are_known():
    assert all(map(is_loopback, ("127.0.0.1", "127.9.9.9", "::1", "localhost")))
    assert not any(map(is_loopback, ("0.0.0.0", "::", "192.0.2.7", "", "hill.local", "localhost.example")))


def test_this_machine_has_names():
    assert "localhost" in own_names()
    assert all(name == name.lower() for name in own_names())


@pytest.mark.parametrize("bind", ["0.0.0.0", "::"])
def test_what_a_phone_is_told_is_no_address_that_only_this_machine_understands(bind):
    hosts = reachable_hosts(bind)
    assert hosts
    for host in hosts:
        assert host_allowed(host, own_names())
        assert not is_loopback(host.strip("[]"))
        assert host.strip("[]") != bind


def test_an_address_that_was_named_is_told_as_it_is():
    assert reachable_hosts("192.0.2.7") == ["192.0.2.7"]
    assert reachable_hosts("2001:db8::7") == ["[2001:db8::7]"]
    assert reachable_hosts("hill.local") == ["hill.local"]

"""The list of ports, and the names that outlive a replug."""

from __future__ import annotations

from pathlib import Path

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.ports import Port, list_ports, stable_name


def test_the_by_id_name_is_preferred_to_the_by_path_name(port: PtyPort, tmp_path: Path):
    by_id, by_path, gone = tmp_path / "by-id", tmp_path / "by-path", tmp_path / "gone"
    for folder in (by_id, by_path):
        folder.mkdir()
    (by_path / "pci-0:1").symlink_to(port.device)
    assert stable_name(port.device, (gone, by_id, by_path)) == str(by_path / "pci-0:1")
    (by_id / "usb-adapter-if00-port0").symlink_to(port.device)
    assert stable_name(port.device, (gone, by_id, by_path)) == str(by_id / "usb-adapter-if00-port0")


def test_a_link_to_another_device_is_not_taken(port: PtyPort, tmp_path: Path):
    (tmp_path / "by-id").mkdir()
    (tmp_path / "by-id" / "usb-other").symlink_to("/dev/null")
    (tmp_path / "by-id" / "usb-dangling").symlink_to(tmp_path / "nothing")
    assert stable_name(port.device, (tmp_path / "by-id",)) == port.device


def test_the_ports_of_this_machine_are_listed_in_order():
    """Whatever is plugged in here, each entry exists and its text is fit to be shown."""
    ports = list_ports()
    assert ports == sorted(ports, key=lambda port: port.url)
    for port in ports:
        assert isinstance(port, Port)
        assert Path(port.url).resolve() == Path(port.device).resolve()
        assert port.description.isprintable()

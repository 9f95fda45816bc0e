"""A Modbus RTU device at the other end of a serial line: pymodbus' own server, on a pair of pseudo-terminals."""

from __future__ import annotations

import asyncio
import os
import select
import threading
import tty
from types import TracebackType

from pymodbus.server import ModbusSerialServer
from pymodbus.simulator import DataType, SimData, SimDevice


class LinePair:
    """Two serial ports with a cable between them; a context manager."""

    def __init__(self) -> None:
        self._masters: list[int] = []
        self._slaves: list[int] = []
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._carry, name="cable", daemon=True)
        self.carried: list[bytes] = []
        """What each piece was, either way."""

    @property
    def ports(self) -> tuple[str, str]:
        """The names of both ends."""
        return os.ttyname(self._slaves[0]), os.ttyname(self._slaves[1])

    def __enter__(self) -> LinePair:
        for _ in range(2):
            master, slave = os.openpty()
            tty.setraw(slave)
            self._masters.append(master)
            self._slaves.append(slave)
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ended.set()
        self._thread.join()
        for descriptor in (*self._slaves, *self._masters):
            os.close(descriptor)

    def _carry(self) -> None:
        other = {self._masters[0]: self._masters[1], self._masters[1]: self._masters[0]}
        while not self._ended.is_set():
            for master in select.select(self._masters, [], [], 0.05)[0]:
                piece = os.read(master, 4096)
                self.carried.append(piece)
                os.write(other[master], piece)


class ModbusServer:
    """Serves registers from address 0 on; a context manager."""

    def __init__(self, port: str, registers: list[int], *, unit: int = 1) -> None:
        self._port, self._unit, self._registers = port, unit, registers
        self._ready = threading.Event()
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, name="modbus-device", daemon=True)
        self._server: ModbusSerialServer | None = None

    def _run(self) -> None:
        self._loop.run_until_complete(self._serve())
        self._loop.close()

    async def _serve(self) -> None:
        data = SimData(0, values=list(self._registers), datatype=DataType.REGISTERS)
        self._server = ModbusSerialServer([SimDevice(self._unit, [data])], port=self._port, baudrate=19200)
        await self._server.serve_forever(background=True)
        self._stop = asyncio.Event()
        self._ready.set()
        await self._stop.wait()
        await self._server.shutdown()

    def __enter__(self) -> ModbusServer:
        self._thread.start()
        assert self._ready.wait(10)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._loop.call_soon_threadsafe(self._stop.set)
        self._thread.join(10)

"""`fieldtui check`: before leaving home, what is missing and what to do about it."""

from __future__ import annotations

import argparse
from pathlib import Path

from fieldtui.cli.check.disk import disk_findings
from fieldtui.cli.check.findings import Finding, State
from fieldtui.cli.check.machine import machine_findings
from fieldtui.cli.check.station import station_findings
from fieldtui.cli.exits import DATA_AT_FAULT, DONE
from fieldtui.cli.output import print_json, safe

HELP = "Before leaving home: looks at files, ports, clock, disk and terminal, and says what to do."
EXAMPLE = "fieldtui check"

STATE_WIDTH = 9


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument(
        "--station", type=Path, metavar="FILE", help="this file, not that of the configuration folder"
    )


def run(options: argparse.Namespace) -> int:
    """Look at everything: 0 nothing is missing, 1 something is."""
    _, findings = station_findings(options.station)
    findings += [*disk_findings(), *machine_findings()]
    lacking = sum(finding.state is State.MISSING for finding in findings)
    if options.json:
        rows = [{"name": f.name, "state": f.state.value, "what": f.what, "do": f.do} for f in findings]
        print_json({"ready": not lacking, "checks": rows})
    else:
        for finding in findings:
            _tell(finding)
        doubtful = sum(finding.state is State.LOOK for finding in findings)
        print(f"{lacking or 'nothing'} missing, {doubtful or 'nothing'} worth a look")
    return DATA_AT_FAULT if lacking else DONE


def _tell(finding: Finding) -> None:
    print(f"{finding.state.value:<{STATE_WIDTH}}{finding.name}: {safe(finding.what)}")
    if finding.do:
        print(f"{'':<{STATE_WIDTH}}- {safe(finding.do)}")

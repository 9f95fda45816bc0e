"""Our own schema of the parts of GPX 1.1 that are written: see `tests/data/adif.md`."""

from __future__ import annotations

from pathlib import Path

import xmlschema

SCHEMA = xmlschema.XMLSchema(Path(__file__).parents[1] / "data" / "gpx_parts.xsd")

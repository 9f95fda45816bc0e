"""Bundled tables say where they come from, and modules stay cheap to import."""

import subprocess
import sys

import pytest

from fieldtui.data.tables import load_toml, read_table

MODULES = [
    "antenna",
    "band_plan",
    "bands",
    "callsign",
    "cautions",
    "exposure",
    "feed_line",
    "frequency",
    "geodesy",
    "half_heard",
    "level",
    "locator",
    "modes",
    "phonetics",
    "us.privileges",
    "reports",
    "rules",
    "series",
    "spurious",
    "units",
    "us.channels",
    "us.places",
    "us.segments",
]
COSTLY = ["maidenhead", "geographiclib", "tomllib", "csv", "fractions", "importlib.resources"]


@pytest.mark.parametrize("name", ["itu_call_sign_series.csv", "adif_bands.csv"])
def test_csv_tables_open_with_source_date_and_status(name: str) -> None:
    head = read_table(name).splitlines()[:3]
    assert [line.split(":")[0] for line in head] == ["# source", "# checked", "# status"]


@pytest.mark.parametrize("name", ["us_privileges.toml", "us_call_areas.toml", "voice_confusions.toml"])
def test_tables_of_one_source_state_it_once(name: str) -> None:
    table = load_toml(name)
    assert table["source"]
    assert table["status"]
    assert table["checked"].isoformat() == "2026-11-25"


def test_tables_of_many_sources_state_each() -> None:
    for mode in load_toml("modes.toml")["modes"].values():
        assert mode["source"]
        assert mode["status"]
    places = load_toml("us_places.toml")
    for name in ("line_a", "areas_70cm", "white_sands"):
        assert places[name]["source"]
        assert places[name]["status"]


def test_importing_the_room_loads_nothing_costly() -> None:
    """On a slow board an import is a wait: libraries and tables are read when first needed."""
    code = "\n".join(f"import fieldtui.radio.{name}" for name in MODULES)
    code += f"\nimport sys\nprint([name for name in {COSTLY} if name in sys.modules])"
    # Without site-packages hooks: what the environment itself loads is not ours.
    done = subprocess.run([sys.executable, "-I", "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"

"""Fuzzing by hand: `python -m tests.fuzz.run NAME --seconds 60`."""

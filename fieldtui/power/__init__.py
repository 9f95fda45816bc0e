"""Packs, charge, wiring and transmit detection: pure functions, no I/O, no clock."""

"""The state of a session: one fold per concern over the journal's events."""

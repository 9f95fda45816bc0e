"""The station file: its settings, read, checked and written."""

"""Transmissions, seen in the battery current."""

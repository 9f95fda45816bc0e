"""Channels: the frequency plan, its files, tones."""

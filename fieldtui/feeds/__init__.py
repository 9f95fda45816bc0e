"""Readers of serial feeds and the sans-I/O parsers of what they say."""

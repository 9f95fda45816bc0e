"""The report over several sessions."""

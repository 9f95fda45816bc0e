"""From readings to journal events: what is worth a line."""

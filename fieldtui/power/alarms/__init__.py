"""Alarms of the battery: what each watches, and when it is told."""

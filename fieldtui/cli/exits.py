"""The exit codes of every command: what a script is told."""

from __future__ import annotations

DONE = 0
DATA_AT_FAULT = 1
"""What was read is at fault, or what was to be written could not be."""
CALL_AT_FAULT = 2
"""The words of the call: an option, a file that is not there."""

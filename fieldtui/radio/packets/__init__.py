"""AX.25 frames and the APRS reports in them: bytes to values and back. Pure, bounded, and never raising.

`ax25.read_frame` reads a frame, `reading.read_packet` what it says; `outgoing` makes the few that are sent.
"""

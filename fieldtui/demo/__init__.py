"""A stand-in for the hardware and an invented outing, for trying the program at home."""

"""A portable radio session in one terminal: log, identify, watch the battery."""

__version__ = "0.1.0"

"""Must the call sign be given? The fold, what it demands, and its record."""

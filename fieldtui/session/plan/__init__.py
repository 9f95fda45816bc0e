"""The plan of an outing, and how it compares with what happened."""

"""What people write, put into the usual writing of the entry line before the grammar reads it."""

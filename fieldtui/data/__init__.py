"""Tables, each value with its source."""

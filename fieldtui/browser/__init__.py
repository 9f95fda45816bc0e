"""The session screen in a browser."""

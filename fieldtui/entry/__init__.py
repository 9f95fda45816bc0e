"""The entry line: text to a typed result, never an exception. It begins with `grammar.parse_line`."""

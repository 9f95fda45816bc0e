"""The session screen in a browser: a small server, a page of its own, and a program in a terminal for each viewer.

The server itself knows nothing of journals: it runs `fieldtui session` in a pseudo-terminal and carries bytes.
"""

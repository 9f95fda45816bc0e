"""How much of a signal is left at the far end of a path: free space, the round earth, hills."""

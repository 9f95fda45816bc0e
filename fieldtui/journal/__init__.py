"""The event journal: typed events, the line codec with its checksum chain, the file, the folder."""

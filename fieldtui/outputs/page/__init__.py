"""The document model of every page: blocks, and the writers that turn them into HTML and terminal lines."""

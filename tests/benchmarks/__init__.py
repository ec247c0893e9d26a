"""Times as tables, best of several runs in one process; nothing here can fail."""

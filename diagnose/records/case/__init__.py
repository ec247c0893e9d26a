"""A case: its journal of events, and the same as a file."""

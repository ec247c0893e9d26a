"""Which column tells what, and what a row says."""

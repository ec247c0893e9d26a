"""Physics and shop arithmetic: pure functions with units, ranges and sources."""

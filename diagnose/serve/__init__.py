"""The callback as pages, for a phone at the car."""

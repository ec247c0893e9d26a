"""Failure diagnosis for vehicle wraps: complaint, cause, correction."""

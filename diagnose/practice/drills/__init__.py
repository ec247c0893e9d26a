"""Drills: a question with options, marked at once with the reason of each option."""

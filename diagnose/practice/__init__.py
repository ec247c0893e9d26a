"""Worked cases as a measure of the tool and as drills for the apprentice."""

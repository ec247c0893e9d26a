"""A drawing for each symptom."""

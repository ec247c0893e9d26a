"""The terms of a warranty, and what they say of a row."""

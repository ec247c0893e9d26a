"""The measures by subject."""

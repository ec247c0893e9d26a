"""The rule base as pages and as a book."""

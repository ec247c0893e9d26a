"""Formats in which a document is handed over: what it is made of, and a module for each format."""

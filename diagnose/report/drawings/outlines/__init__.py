"""Outlines of plain vehicles, in a table of rows for each kind of body."""

"""Complaints from public pages: entries, readings of them, and how the program fares."""

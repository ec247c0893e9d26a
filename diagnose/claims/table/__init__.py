"""Tables in and out, of any kind, piece by piece."""

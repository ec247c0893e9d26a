"""The callback as screens and as plain lines."""

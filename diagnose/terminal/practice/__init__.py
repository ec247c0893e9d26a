"""The practice as screens and as plain lines."""

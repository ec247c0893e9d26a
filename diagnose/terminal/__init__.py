"""The callback at the car: one dialogue, as Textual screens and as plain lines."""

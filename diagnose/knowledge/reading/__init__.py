"""From files to a rule base, or to every problem that stands in the way."""

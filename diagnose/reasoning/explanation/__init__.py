"""Why this cause and not that one, in words."""

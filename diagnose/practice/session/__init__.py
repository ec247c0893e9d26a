"""A case under practice: looks, beliefs, the judge, points, what they teach, variants."""

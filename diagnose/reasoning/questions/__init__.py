"""What to check next, and when to stop."""

"""What closed cases tell."""

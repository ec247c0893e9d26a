"""What a report says, as plain data."""

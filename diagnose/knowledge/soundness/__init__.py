"""What must be right in a rule base, and what is doubtful in it."""

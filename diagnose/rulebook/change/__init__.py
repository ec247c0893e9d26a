"""What a change of the rule base does."""

"""What is doubtful or weak in a rule base, seen by weighing."""

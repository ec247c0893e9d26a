"""What the rule base says, as typed immutable objects, and how it is read and checked."""

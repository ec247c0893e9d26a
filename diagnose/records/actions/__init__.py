"""What each action of `diagnose cases` does, from its arguments to an exit code and a text."""

"""What goes out: columns, explanations, the summary."""

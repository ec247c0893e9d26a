"""What conditions, answers and strengths mean."""

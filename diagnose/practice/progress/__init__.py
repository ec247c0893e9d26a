"""What an apprentice has done, what comes next and when, drills and the exam."""

"""The callback without a face: what is asked, what an answer does, and how it is said."""

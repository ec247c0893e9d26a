"""Complaint, cause, correction on paper and screen."""

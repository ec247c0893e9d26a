"""From answers to the probability of each cause, by two evaluators of one meaning."""

"""From answers to a differential, the next check and a conclusion: pure, no I/O, no clock."""

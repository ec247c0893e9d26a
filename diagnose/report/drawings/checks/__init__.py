"""A drawing for each check that needs one."""

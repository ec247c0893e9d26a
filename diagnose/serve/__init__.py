"""The callback's screens in a browser, for a phone at the car."""

"""Words that people say, understood in one way everywhere: callback, claims, search."""

"""The first screens of a callback: what is wrong and where, by words or from lists."""

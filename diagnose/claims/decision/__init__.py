"""One decision a row, with its grounds and its questions."""

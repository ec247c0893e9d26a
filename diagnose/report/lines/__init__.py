"""The report in short lines, for a terminal and for the file: all of it, and no pictures."""

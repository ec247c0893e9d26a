"""Write the five shops' claim sheets from their plain text (``raw/*.txt``, cells parted by ``|``).

The text is the source; the files are what a shop would send: titles above the header, a totals
row, semicolons in latin-1, day and month in the shop's own manner.
"""

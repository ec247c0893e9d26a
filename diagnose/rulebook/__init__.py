"""The rule base judged, shown as pages and as one book, and two of its versions compared."""

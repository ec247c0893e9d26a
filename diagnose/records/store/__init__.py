"""Cases on the disk: kept, listed, rescued, taken in and out."""

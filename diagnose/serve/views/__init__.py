"""What each page shows, as data: the dialogue's own words, and where its forms lead."""

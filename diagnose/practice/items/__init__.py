"""What is practised on: worked cases as they came in, and the tool tried on them."""

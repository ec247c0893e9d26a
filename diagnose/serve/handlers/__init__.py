"""What is done with each request: who comes in, what is shown, what is sent."""

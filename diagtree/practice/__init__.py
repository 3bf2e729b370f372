"""Practice: cars with a hidden fault, what a trainee did with them, and what it was worth."""

"""What closed jobs say of the author's numbers."""

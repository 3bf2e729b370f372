"""A tree as a drawing: measured words, places, one picture model, a painter a kind of file."""

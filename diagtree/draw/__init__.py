"""A tree as a drawing: measured words, places from a layout engine, one picture model, a painter a kind of file."""

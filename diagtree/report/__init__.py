"""Results as text, JSON and printable sheets. One renderer a kind of output."""

"""What a library says, as frozen data. Standard library only; no reading, no writing."""

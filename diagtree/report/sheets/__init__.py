"""Printed sheets: what a car takes to the bench and to the counter, on plain paper in black and white."""

"""What a gauge, a scan tool or a book says: units, readings, bands, codes, tightening, chain drives, offsets."""

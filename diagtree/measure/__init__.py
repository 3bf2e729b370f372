"""What a gauge, a scan tool or a book says: units, readings, bands, trouble codes, tightening steps, offsets."""

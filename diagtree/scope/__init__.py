"""From wanted faults to the work, the hours, the parts and what to buy. highspy comes in here and nowhere else."""

"""The library as graphs: trees, work, what serves what. networkx comes in here and nowhere else."""

"""What `vet` finds beyond the form of files. One rule a file; its docstring is its manual entry."""

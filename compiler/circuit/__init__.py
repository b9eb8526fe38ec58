"""What is joined to what: the graph of a variant, and searches over it."""

"""A search for a fault at a terminal: what a person types, and what becomes of it."""

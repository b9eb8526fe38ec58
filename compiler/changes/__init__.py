"""What changed from one issue of a variant to the next, or differs between two variants, in trade terms."""

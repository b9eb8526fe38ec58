"""The language of .loom files: text in, syntax tree with exact places out, and the way back (formatter)."""

"""Writers of findings, one a file. They know nothing of checks: what they need to tell, they are given."""

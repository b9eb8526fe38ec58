"""The model of one variant: immutable typed items, each with the place where it was written."""

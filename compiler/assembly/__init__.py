"""From syntax trees to the model of one variant: fragments, options, names."""

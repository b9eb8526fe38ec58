"""The meaning of a source: model, assembly, checks, standards data, circuit, exchange. Knows nothing of pages."""

"""Drawings that are not wiring sheets: fuse blocks, faces of connectors, zones."""

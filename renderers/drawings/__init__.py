"""Drawings that are not wiring sheets: fuse blocks and zones."""

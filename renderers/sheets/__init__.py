"""Wiring sheets: planning, placing, routing and drawing."""

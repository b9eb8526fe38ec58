"""Data from outside."""

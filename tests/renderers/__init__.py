"""Pages: charts, packs, writers, publishing."""

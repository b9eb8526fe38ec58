"""Fault charts: decision trees made (on all cores, kept between runs) and laid out as blocks of a pack."""

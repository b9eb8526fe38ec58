"""Where the repair notes stand, and which faults are repaired by them."""

from renderers.text import anchor

REPAIR = anchor("sizes", "repair")
"""The anchor of the repair notes."""
KINDS = ("wire", "splice", "terminal")
"""How the kinds of fault begin that are repaired by them."""

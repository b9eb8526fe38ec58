"""Data from and for other programs.

Wire lists in: `tables` (bytes to cells), `columns` (which column is which), `cells` (numbers, colours), `wirelist`
(typed rows), `drafting` (rows to what a source will say), `loomtext` (its text), `proof` (it says what the rows say).
`imported.import_wire_list` does all of it.

Drawings in: `drawing` (an author's SVG or PNG, made safe).
"""

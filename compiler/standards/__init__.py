"""The trade's published tables: colours, sizes, fuses, protection, fusible links, terminals, voltage drop.

Every value lives in a data file under ``data/`` with its source and its grade (see ``grades``). Nothing is
read when this package or a module of it is imported: a table is read when it is first asked for, once, and
then kept.
"""

"""The circuit, computed: what conducts in a state, what a meter reads, what a fault changes.

`Network(graph)` holds what every part of a variant does to current; `settle(network, state)` finds the relays'
positions and solves it; `Meter` reads the result. numpy and scipy are loaded when something is solved, not before.
"""

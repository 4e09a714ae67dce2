"""How it is wired: the loom as a netlist, and what is read off it."""

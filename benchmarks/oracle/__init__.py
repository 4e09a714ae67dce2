"""ngspice as the second opinion on every circuit of the bench: its netlists, its runs, and circuits at random."""

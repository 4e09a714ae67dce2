"""The charging-system workbench for old motorcycles: from what an owner can see and measure to what suits, and why."""

__version__ = "0.1.0"

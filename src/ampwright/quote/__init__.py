"""What it costs: quantities, labour, tax, and up to three options side by side."""

"""What a change costs: parts, cable, labour, tax."""

"""What the system does: output against demand at the speeds ridden, and what a meter should show."""

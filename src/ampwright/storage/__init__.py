"""What is kept: the only place that opens users' files."""

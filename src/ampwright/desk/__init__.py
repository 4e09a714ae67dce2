"""The counter: use cases, and the faces that call them."""

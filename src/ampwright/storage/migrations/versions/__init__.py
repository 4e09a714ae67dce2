"""Steps from one layout of the tables to the next."""

"""Why a bike does not read so: belief in what is wrong, from readings and what is told."""

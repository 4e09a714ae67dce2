"""Pure physics of the charging system, a file a part. Every function takes numbers or arrays and broadcasts."""

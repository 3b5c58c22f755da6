"""Describe: the TOML description of a livery, read, placed and checked."""

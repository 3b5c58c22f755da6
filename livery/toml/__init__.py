"""TOML files read with the place of every entry, and their faults put into words."""

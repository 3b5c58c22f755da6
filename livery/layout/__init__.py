"""Layout: fit to the panel as built, fields, lining and lettering, as pieces on panels."""

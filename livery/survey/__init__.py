"""Survey: images calibrated, straightened, measured and sampled."""
